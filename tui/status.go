package tui

import (
	"path/filepath"

	"rollready/capture/rig"
	"rollready/dsp/plain"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

func drawPlaying(f *widget.Frame, row canvas.Rect, d *desk.Desk) {
	p := d.Playing
	how := "as recorded, the chain is bypassed"
	if p.Raw {
		how = "its input through the chain as it is now"
	}
	if p.Clip != "" {
		how = besideWords(p)
	}
	style := f.Chip(theme.Demo)
	f.Fill(row, ' ', style)
	const back = "esc back to the input"
	f.TextRight(row.Inset(1, 0), back, style)
	f.TextIn(row.Inset(1, 0).Left(row.W-len(back)-4), "PLAYING "+p.Take.Title()+"  "+how, style)
	f.Hit(row, widget.Click(d.Back))
}

// besideWords say which of the two is heard, first.
func besideWords(p *rig.Playing) string {
	clip := plain.Text(filepath.Base(p.Clip))
	if p.Clips {
		return "hearing the clip " + clip + ", b: the take"
	}
	return "hearing the take, b: the clip " + clip
}
