package tui

import (
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
	style := f.Chip(theme.Demo)
	f.Fill(row, ' ', style)
	const back = "esc back to the input"
	f.TextRight(row.Inset(1, 0), back, style)
	f.TextIn(row.Inset(1, 0).Left(row.W-len(back)-4), "PLAYING "+p.Take.Title()+"  "+how, style)
	f.Hit(row, widget.Click(d.Back))
}
