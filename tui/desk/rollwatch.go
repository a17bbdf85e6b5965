package desk

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/take"
	"rollready/tui/format"
)

func mendedWords(r take.Recovered) string {
	name := filepath.Base(r.Path)
	switch r.Outcome {
	case take.MendedIt, take.Whole:
		return name + " was cut short: mended, see Takes"
	case take.Empty:
		return name + " was cut short before its first sound"
	}
	return name + " was cut short and can't be mended: " + r.Text
}

// Hear takes the recorder's answers.
func (d *Desk) Hear(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case RolledMsg:
		d.busy, d.Fresh, d.seen = false, true, d.Rec
		d.Say("Rolling: " + m.Take.Title())
		d.Fail(m.err)
	case stoppedMsg:
		d.busy, d.Fresh, d.seen = false, true, d.Rec
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
		d.Fail(m.err)
	case backMsg:
		d.came(m)
	}
	return nil
}

// endWords tells of a take that ended, and of what is wrong with it first.
func endWords(t take.Take) string {
	word, why := t.Verdict()
	text := t.Title() + ", " + format.Clock(t.Duration()) + ": " + word
	if len(why) > 0 {
		text += ". " + why[0]
	}
	if len(why) > 1 {
		text += fmt.Sprintf("; %d more in Takes", len(why)-1)
	}
	return text
}

func (d *Desk) mended(m mendedMsg) {
	d.Fail(m.err)
	if len(m.all) == 0 {
		return
	}
	d.Fresh = true
	var words []string
	for _, r := range m.all {
		words = append(words, mendedWords(r))
	}
	text := strings.Join(words, "; ")
	d.Notices = append(d.Notices, text)
	d.Fail(errors.New(text))
}

// watchTake notices a take that began or ended by itself.
func (d *Desk) watchTake() {
	was := d.seen
	d.seen = d.Rec
	if d.Question != nil && d.Question.Over(d.Frames) {
		d.Question = nil
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
	d.Fresh, d.Question = true, nil
}

// Due gives what has to be done at this frame.
func (d *Desk) Due() tea.Cmd {
	var cmds []tea.Cmd
	if d.Fresh {
		d.Fresh = false
		cmds = append(cmds, func() tea.Msg { return TakesChangedMsg{} })
	}
	if d.Count.On && d.Count.Left == 0 {
		cmds = append(cmds, d.rollCounted())
	}
	return tea.Batch(append(cmds, d.endPlaying())...)
}
