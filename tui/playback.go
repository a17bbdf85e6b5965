package tui

import (
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/take"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

type (
	playingMsg struct{ err error }
	backMsg    struct {
		back bool
		err  error
	}
)

// playTake plays a take in place of the input.
func (d *Desk) playTake(t take.Take, raw bool) tea.Cmd {
	return func() tea.Msg { return playingMsg{d.Rig.Play(t, raw)} }
}

// back goes from a take to the input.
func (d *Desk) back() tea.Cmd {
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
		d.retry = d.frames + 2*framesPerSecond
		d.Fail(m.err)
	case m.back:
		d.Say("Back at the input")
	}
}

// endPlaying goes back to the input by itself where a take is over.
func (d *Desk) endPlaying() tea.Cmd {
	if d.Playing == nil || !d.Status.Ended || d.frames < d.retry {
		return nil
	}
	return d.back()
}

func drawPlaying(f *Frame, row canvas.Rect, d *Desk) {
	p := d.Playing
	how := "as recorded, the chain is bypassed"
	if p.Raw {
		how = "its input through the chain as it is now"
	}
	style := f.Chip(theme.Demo)
	f.Fill(row, ' ', style)
	const back = "esc back to the input"
	f.TextRight(row.Inset(1, 0), back, style)
	f.TextIn(row.Inset(1, 0).Left(row.W-len(back)-4), "PLAYING "+p.Take.Title()+"  "+how, style)
	f.Hit(row, Click(d.back))
}

// trackWords sums up the tracks: "processed and input, 2 channels each".
func trackWords(t take.Take) string {
	var kinds []string
	for _, name := range t.Tracks {
		kind := strings.TrimRight(name, " 0123456789")
		if !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	return strings.Join(kinds, ", ")
}
