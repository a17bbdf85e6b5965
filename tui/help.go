package tui

import (
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
)

// everywhere are the keys that mean the same on every screen.
var everywhere = [...]desk.Key{
	{Press: "ctrl-r", Does: "roll a take; again: stop it, asked once more"},
	{Press: "m", Does: "while rolling: marker here, with a word"},
	{Press: "ctrl-t", Does: "while rolling: slate tone to file and camera"},
	{Press: "ctrl-o", Does: "room tone, 30 s"},
	{Press: "1 … 9, tab", Does: "another screen"},
	{Press: "0", Does: "headphones: mute, or let them be heard"},
	{Press: ", .", Does: "headphones: softer, louder by 2 dB"},
	{Press: "t", Does: "theme: night, day, mono"},
	{Press: "ctrl-z", Does: "suspend; fg comes back"},
	{Press: "ctrl-l", Does: "draw everything again"},
	{Press: "q, ctrl-c", Does: "quit; settings are kept"},
}

// drawHelp lays the keys of the screen over it, to be scrolled where they are
// many.
func (r *root) drawHelp(body canvas.Rect, s desk.Screen) {
	f := &r.frame
	const press = 14
	panel := canvas.Style{FG: theme.Ink, BG: theme.Panel}
	f.Hits = f.Hits[:0]
	f.Fill(body, ' ', panel)
	in := body.Inset(2, 0).Rows(1, body.H-1)
	lines := helpLines(append(append([]desk.Key{}, s.Keys()...), everywhere[:]...), max(in.W-press, 1))
	r.keys.Fit(in.Rows(2, in.H-2), len(lines))
	title := "Keys of " + s.Name() + "; any key goes back"
	switch {
	case r.keys.Below():
		title = "Keys of " + s.Name() + "; any key goes on"
	case r.keys.Above():
		title = "Keys of " + s.Name() + "; any key but ↑ ↓ goes back"
	}
	f.TextIn(in, title, panel.With(canvas.Bold))
	r.keys.Draw(f, func(i int, at canvas.Rect) {
		f.TextIn(at.Left(press-1), lines[i].Press, panel.With(canvas.Bold))
		f.TextIn(at.Skip(press), lines[i].Does, panel)
	})
}

// helpLines breaks what the keys do into lines of so many cells.
func helpLines(keys []desk.Key, cells int) (lines []desk.Key) {
	for _, k := range keys {
		for i, line := range format.Wrap(k.Does, cells) {
			one := desk.Key{Does: line}
			if i == 0 {
				one.Press = k.Press
			}
			lines = append(lines, one)
		}
	}
	return lines
}
