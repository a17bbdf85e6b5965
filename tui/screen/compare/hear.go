package compare

import (
	"strconv"

	"rollready/capture/rig/output"
	"rollready/dsp/compare"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// drawHear is the row of what is heard, how loud, and from where.
func (c *comparison) drawHear(f *widget.Frame, row canvas.Rect) {
	x := f.Text(row.X+1, row.Y, "Hear ", f.Style(theme.Dim))
	if c.blind.On() {
		for _, name := range [...]string{"A", "B", "X"} {
			x = f.Word(x, row.Y, name, c.blind.hears == name, widget.Doing(func() { c.hearBlind(name) }))
		}
	} else {
		for _, s := range [...]output.Source{output.Input, output.Output, output.SideA, output.SideB} {
			x = f.Word(x, row.Y, s.String(), c.heard == s, widget.Doing(func() { c.hear(s) }))
		}
	}
	end := row.X + row.W - 1
	end = c.drawPhrase(f, canvas.Rect{X: x, Y: row.Y, W: end - x, H: 1})
	text := c.loudnessWords(end-x >= 30)
	if canvas.Width(text)+3 <= end-x {
		f.Word(x+1, row.Y, text, false, widget.Doing(func() {
			if !c.blind.On() {
				c.toggleEqual()
			}
		}))
	}
}

// loudnessWords say whether the ear gets both sides equally loud.
func (c *comparison) loudnessWords(full bool) string {
	if !c.desk.Settings.EqualLoudness {
		return "loudness as set"
	}
	if full {
		for s, g := range c.slow.GainsDB {
			if g < -0.05 {
				return "equal loudness, " + compare.Side(s).String() + " " + format.Figure(g) + " dB"
			}
		}
	}
	return "equal loudness"
}

// drawPhrase shows flush right whether a phrase feeds the sides, and where in
// it we are; it gives where it begins.
func (c *comparison) drawPhrase(f *widget.Frame, area canvas.Rect) int {
	press, text := c.capture, "capture phrase"
	if c.state.Phrase > 0 {
		press, text = widget.Doing(c.togglePhrase), "live"
	}
	bar := 0
	if c.state.Playing {
		text = "phrase " + format.Figure(c.state.Phrase) + " s"
		bar = min(max(area.W-56, 0), 24)
	}
	width := canvas.Width(text) + 2
	if bar > 3 {
		width += bar + 1
	}
	x := area.X + area.W - width
	from := x
	x = f.Word(x, area.Y, text, c.state.Playing, press)
	if bar > 3 {
		at := int(c.state.Place * float64(bar))
		for i := range bar {
			r, s := '─', f.Style(theme.Rule)
			if i < at {
				r, s = '━', f.Style(theme.Curve)
			}
			f.Set(x+i, area.Y, r, s)
		}
	}
	return from
}

// drawAnswers takes the place of the controls during a blind trial: what is
// turned would tell the sides apart.
func (c *comparison) drawAnswers(f *widget.Frame, area canvas.Rect) {
	half := area.Inset(2, 0)
	w := (half.W - 2) / 2
	for s, text := range [...]string{"←  X is A", "X is B  →"} {
		at := canvas.Rect{X: half.X + s*(w+2), Y: area.Y, W: w, H: 1}
		f.Fill(at, ' ', f.Style(theme.Ink).On(theme.Panel))
		f.Text(at.X+(w-canvas.Width(text))/2, at.Y, text, f.Strong(theme.Ink).On(theme.Panel))
		f.Hit(at, widget.Click(widget.Doing(func() { c.answer(compare.Side(s)) })))
	}
	answered, all := c.blind.trial.Rounds()
	row := area.Row(area.H-1).Inset(2, 0)
	text := strconv.Itoa(answered) + " of " + strconv.Itoa(all)
	err := c.desk.CanHear()
	if err == nil {
		text = "answered " + text
	}
	x := f.TextIn(row, text, f.Style(theme.Ink)) + 2
	if err != nil {
		x = f.TextIn(row.Skip(x-row.X).Left(row.W-8-(x-row.X)), " PAUSED  "+err.Error()+" ", f.Chip(theme.Hot)) + 2
	}
	for i := range min(all, row.X+row.W-x-8) {
		r := '○'
		if i < answered {
			r = '●'
		}
		f.Set(x+i, row.Y, r, f.Style(theme.Choice))
	}
	f.Word(row.X+row.W-6, row.Y, "stop", false, widget.Doing(c.endTrial))
}
