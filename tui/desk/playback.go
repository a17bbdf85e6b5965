package desk

import (
	"path/filepath"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/tui/widget"
)

type (
	playingMsg struct{ err error }
	backMsg    struct {
		back bool
		err  error
	}
)

// PlayTake plays a take in place of the input.
func (d *Desk) PlayTake(t take.Take, raw bool) tea.Cmd {
	return func() tea.Msg { return playingMsg{d.Rig.Play(t, raw)} }
}

// PlayBeside plays a take against a clip over it.
func (d *Desk) PlayBeside(t take.Take, p dailies.Pair) tea.Cmd {
	d.Say("Reading " + filepath.Base(p.Clip) + " …")
	return func() tea.Msg { return playingMsg{d.Rig.PlayBeside(t, p)} }
}

// Back goes from a take to the input.
func (d *Desk) Back() tea.Cmd {
	if d.Playing == nil {
		return nil
	}
	return func() tea.Msg {
		back, err := d.Rig.Back()
		return backMsg{back, err}
	}
}

// came takes the answer of the way back to the input.
func (d *Desk) came(m backMsg) {
	switch {
	case m.err != nil:
		d.retry = d.Frames + 2*widget.FramesPerSecond
		d.Fail(m.err)
	case m.back:
		d.Say("Back at the input")
	}
}

// endPlaying goes back to the input by itself where a take is over.
func (d *Desk) endPlaying() tea.Cmd {
	if d.Playing == nil || !d.Status.Ended || d.Frames < d.retry {
		return nil
	}
	return d.Back()
}
