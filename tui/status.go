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
	what := "PLAYING " + p.Take.Title() + "  as recorded, the chain is bypassed"
	switch {
	case p.Clip != "":
		what = besideWords(p)
	case p.Raw:
		what = "PLAYING " + p.Take.Title() + "  its input through the chain as it is now"
	}
	style := f.Chip(theme.Demo)
	f.Fill(row, ' ', style)
	const back = "esc back to the input"
	f.TextRight(row.Inset(1, 0), back, style)
	f.TextIn(row.Inset(1, 0).Left(row.W-len(back)-4), what, style)
	f.Hit(row, widget.Click(d.Back))
}

// besideWords say which of the two is heard.
func besideWords(p *rig.Playing) string {
	clip := plain.Text(filepath.Base(p.Clip))
	if p.Clips {
		return "PLAYING CLIP " + clip + ", over " + p.Take.Title()
	}
	return "PLAYING TAKE " + p.Take.Title() + ", under " + clip
}
