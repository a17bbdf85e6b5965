package tui

import (
	"errors"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/take"
)

// hear takes the recorder's answers.
func (d *Desk) hear(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case rolledMsg:
		d.busy, d.fresh, d.seen = false, true, d.Rec
		d.Say("Rolling: " + m.take.Title())
		d.Fail(m.err)
	case stoppedMsg:
		d.busy, d.fresh, d.seen = false, true, d.Rec
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
	was := d.seen
	d.seen = d.Rec
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
