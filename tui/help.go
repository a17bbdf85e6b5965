package tui

import (
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// everywhere are the keys that mean the same on every screen.
var everywhere = [...]Key{
	{Press: "1 … 9, tab", Does: "another screen"},
	{Press: "t", Does: "theme: night, day, mono"},
	{Press: "ctrl-z", Does: "suspend; fg comes back"},
	{Press: "ctrl-l", Does: "draw everything again"},
	{Press: "q, ctrl-c", Does: "quit; settings are kept"},
}

// drawHelp lays the keys of the screen over it, in as many columns as needed.
func drawHelp(f *Frame, body canvas.Rect, s Screen) {
	keys := append(append([]Key{}, s.Keys()...), everywhere[:]...)
	panel := canvas.Style{FG: theme.Ink, BG: theme.Panel}
	f.hits = f.hits[:0]
	f.Fill(body, ' ', panel)
	in := body.Inset(2, 0).Rows(1, body.H-1)
	f.TextIn(in, "Keys of "+s.Name()+"; any key goes back", panel.With(canvas.Bold))
	in = in.Rows(2, in.H-2)
	rows := max(in.H, 1)
	columns := (len(keys) + rows - 1) / rows
	width := in.W / max(columns, 1)
	const press = 14
	for i, k := range keys {
		at := in.Skip(i / rows * width).Left(width - 1).Row(i % rows)
		f.TextIn(at.Left(press-1), k.Press, panel.With(canvas.Bold))
		f.TextIn(at.Skip(press), k.Does, panel)
	}
}
