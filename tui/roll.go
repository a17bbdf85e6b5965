package tui

import (
	"errors"
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture/take"
)

// The keys of recording: the same everywhere, and none that a torn report of
// the mouse could be.
const (
	rollKey     = "ctrl+r"
	slateKey    = "ctrl+t"
	roomToneKey = "ctrl+o"
	markerKey   = "m" // only while a take rolls
)

type (
	rolledMsg struct {
		take take.Take
		back error // why the input did not come back
		err  error
	}
	stoppedMsg struct {
		take take.Take
		err  error
		quit bool
	}
	mendedMsg struct {
		all []take.Recovered
		err error
	}
	// takesChangedMsg says that the folder of the takes is not as it was.
	takesChangedMsg struct{}
)

// rolling is what the screens know of the recorder.
type rolling struct {
	Rec   take.Status // the newest
	next  int         // number of the next take of the scene; 0: not known yet
	busy  bool        // waiting for the recorder to begin or end
	fresh bool        // the folder changed
	told  string      // the failure that was seen
}

// recordKey answers the keys of recording; done is false for any other.
func (d *Desk) recordKey(key string) (cmd tea.Cmd, done bool) {
	switch key {
	case rollKey:
		return d.rollOrStop(), true
	case roomToneKey:
		return d.roll(take.RoomTone(d.Settings.Recording.Scene)), true
	case slateKey:
		d.slate()
		return nil, true
	}
	return nil, false
}

func (d *Desk) rollOrStop() tea.Cmd {
	if !d.Rec.Rolling {
		return d.roll(take.What{Scene: d.Settings.Recording.Scene})
	}
	return d.Confirm(rollKey, "Stop "+d.Rec.Take.Title()+"?", "stops it", func() tea.Cmd { return d.stop(false) })
}

// roll begins a take. Where a take is played back the input comes first: what
// rolls is always the microphone.
func (d *Desk) roll(w take.What) tea.Cmd {
	switch {
	case d.busy:
		return nil
	case d.Rec.Rolling:
		d.Say(d.Rec.Take.Title() + " is rolling: ctrl-r stops it")
		return nil
	}
	d.busy = true
	back, rec := d.returning(), d.opt.Recorder
	return func() tea.Msg {
		if err := back(); err != nil {
			return rolledMsg{back: err}
		}
		t, err := rec.Roll(w)
		return rolledMsg{take: t, err: err}
	}
}

func (d *Desk) stop(quit bool) tea.Cmd {
	rec := d.opt.Recorder
	d.busy = true
	return func() tea.Msg {
		t, err := rec.Stop()
		if errors.Is(err, take.ErrNotRolling) { // it ended by itself meanwhile
			err = nil
		}
		return stoppedMsg{t, err, quit}
	}
}

// quit ends the program, but not a take by accident.
func (d *Desk) quit(key string) tea.Cmd {
	if !d.Rec.Rolling {
		return tea.Quit
	}
	return d.Confirm(key, d.Rec.Take.Title()+" is rolling.", "stops it and quits", func() tea.Cmd { return d.stop(true) })
}

func (d *Desk) slate() {
	if !d.Rec.Rolling {
		d.Say("The slate tone needs a rolling take: ctrl-r rolls")
		return
	}
	d.opt.Recorder.Slate()
	d.Say("Slate tone to file and camera, marked at " + clock(d.Rec.Elapsed))
}

// marker marks this moment; its word may take its time.
func (d *Desk) marker() tea.Cmd {
	rec, at, place := d.opt.Recorder, d.opt.Recorder.Here(), clock(d.Rec.Elapsed)
	return d.Ask("Marker at "+place+", its word:", "", func(text string) (tea.Cmd, error) {
		if text == "" {
			text = "marker"
		}
		rec.MarkAt(at, text)
		d.Say("Marked " + place + " " + text)
		return nil, nil
	})
}

// mend looks for takes that a crash left behind.
func (d *Desk) mend() tea.Cmd {
	rec := d.opt.Recorder
	return func() tea.Msg {
		all, err := rec.Mend()
		return mendedMsg{all, err}
	}
}

// hear takes the recorder's answers.
func (d *Desk) hear(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case rolledMsg:
		d.rolled(m)
	case stoppedMsg:
		d.busy, d.fresh = false, true
		d.Rec = d.opt.Recorder.Status()
		if m.err != nil {
			d.Fail(m.err)
			break
		}
		d.Say("Recorded " + endWords(m.take))
		if m.quit {
			return tea.Quit
		}
	case mendedMsg:
		d.mended(m)
	case playingMsg:
		d.played(m)
	}
	return nil
}

func (d *Desk) rolled(m rolledMsg) {
	d.busy, d.fresh = false, true
	d.Rec = d.opt.Recorder.Status()
	if d.playing != nil {
		d.played(playingMsg{err: m.back})
	}
	switch {
	case m.back != nil:
		d.Fail(fmt.Errorf("NOT ROLLING: the input is not back: %w", m.back))
	case m.err != nil:
		d.Fail(fmt.Errorf("NOT ROLLING: %w", m.err))
	default:
		d.Say("Rolling: " + m.take.Title())
	}
}

func endWords(t take.Take) string {
	word, why := t.Verdict()
	return t.Title() + ", " + clock(t.Duration()) + ": " + strings.Join(append([]string{word}, why...), ", ")
}

func (d *Desk) mended(m mendedMsg) {
	d.Fail(m.err)
	if len(m.all) == 0 {
		return
	}
	d.fresh = true
	var words []string
	for _, r := range m.all {
		words = append(words, mendedWords(r))
	}
	text := strings.Join(words, "; ")
	d.opt.Notices = append(d.opt.Notices, text)
	d.Fail(errors.New(text))
}

// watchTake notices a take that began or ended by itself.
func (d *Desk) watchTake() {
	was := d.Rec
	d.Rec = d.opt.Recorder.Status()
	if d.question != nil && d.frames > d.question.until {
		d.question = nil
	}
	if !was.Rolling || d.busy {
		return
	}
	switch {
	case d.Rec.Rolling && was.Take.Path != d.Rec.Take.Path:
		d.Fail(errors.New(d.Rec.Take.Title() + " " + d.Rec.Take.Note))
	case d.Rec.Rolling:
		return
	case d.Rec.Problem == nil:
		d.Say("Recorded " + endWords(d.Rec.Take))
	}
	d.fresh, d.question = true, nil
}

// failure is why the last take ended by itself, "" if it did not or the user
// has seen it.
func (d *Desk) failure() string {
	if d.Rec.Problem == nil || d.Rec.Rolling || d.told == d.Rec.Take.Path+d.Rec.Problem.Error() {
		return ""
	}
	return d.Rec.Problem.Error()
}

// due gives what has to be done at this frame.
func (d *Desk) due() tea.Cmd {
	var cmds []tea.Cmd
	if d.fresh {
		d.fresh = false
		cmds = append(cmds, func() tea.Msg { return takesChangedMsg{} })
	}
	return tea.Batch(append(cmds, d.endPlaying())...)
}
