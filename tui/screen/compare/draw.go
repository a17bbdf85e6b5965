package compare

import (
	"math"
	"strconv"
	"strings"

	"rollready/capture/rig/output"
	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/compare"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Draw lays the screen out from the top; the bands get what is left.
func (c *comparison) Draw(f *widget.Frame, area canvas.Rect) {
	if c.bench == nil {
		return
	}
	c.look()
	l := compareLayout(area, max(c.desk.Reading.Channels, 1), max(c.state.Readings[0].Fed, c.state.Readings[1].Fed, 1))
	a := view.NewAxis(area)
	left := a.X
	if area.W < 112 {
		left = view.LeastGutter
	}
	c.drawSentence(f, l.sentence)
	c.drawHear(f, l.hear)
	c.drawInput(f, l.input, left, l.figures)
	for s := range c.sides {
		c.drawSide(f, l.sides[s], compare.Side(s), left, l.figures)
	}
	view.DrawScale(f, l.scale.Skip(left).Left(l.scale.W-left-l.figures-1), c.desk.Settings.View.Camera)
	c.plot.update(c.chain(compare.A), c.chain(compare.B), c.desk.Reading.RateHz, a, l.bands.H)
	c.plot.draw(f, l.bands, a, c.state.BandsDB, c.dead())
	c.drawMore(f, l.bands)
	c.plot.DrawFrequencies(f, l.frequencies)
	c.drawCursor(f, l.cursor)
	if c.blind.On() {
		c.drawAnswers(f, l.controls)
		return
	}
	c.board.Draw(f, l.controls, a)
}

// dead tells that the sides get nothing: a phrase too runs on the input's
// clock.
func (c *comparison) dead() bool { return c.desk.Dead() }

// drawMore says beside the bands which way is whose.
func (c *comparison) drawMore(f *widget.Frame, area canvas.Rect) {
	gutter := area.Skip(1).Left(c.plot.Axis.X - 6 - area.X)
	f.TextIn(gutter.Row(0), "B more", f.Style(theme.Ink))
	f.TextIn(gutter.Row(area.H-1), "A more", f.Style(theme.Ink))
}

// drawSentence says how the sides differ and what to do.
func (c *comparison) drawSentence(f *widget.Frame, area canvas.Rect) {
	style, edge := canvas.Style{FG: theme.Ink, BG: theme.Panel, Attr: canvas.Bold}, theme.Choice
	if c.dead() {
		view.DrawAdvice(f, area, c.desk)
		return
	}
	widget.DrawStrip(f, area, c.sentence(area.W-4), style, edge)
}

func (c *comparison) sentence(cells int) string {
	d := c.desk
	switch {
	case c.blind.On():
		answered, all := c.blind.trial.Rounds()
		return "Round " + strconv.Itoa(answered+1) + " of " + strconv.Itoa(all) +
			": is X A or B? Hear a b x, answer ← →."
	case c.blind.said != "":
		return c.blind.said
	case !d.Phones.Open:
		return "No headphones: Setup has a row for them. The meters compare without."
	case d.Phones.Lost:
		return "Headphones lost. The meters compare without."
	case d.Phones.Muted:
		return "Muted. Headphones on, then 0 fades in " + heardWords(c.heard) + "."
	}
	return c.difference(cells)
}

func heardWords(s output.Source) string {
	if s == output.Input || s == output.Output {
		return "the " + s.String()
	}
	return s.String()
}

// difference says by how much the sides differ, and what it means for the ear.
func (c *comparison) difference(cells int) string {
	louder, by := "B", c.slow.DifferenceDB
	if by < 0 {
		louder, by = "A", -by
	}
	text := "Speak, or loop a phrase (c). "
	switch {
	case c.slow.Known && by < 0.05:
		text = "Both are equally loud. "
	case c.slow.Known && c.slow.Matched:
		text = louder + " is " + format.Figure(by) + " LU louder, for the ear lowered by as much. "
	case c.slow.Known:
		text = louder + " is " + format.Figure(by) + " LU louder, and heard so: e makes it fair. "
	}
	if hint := text + "Switch a b; k keeps the better one."; canvas.Width(hint) <= cells {
		return hint
	}
	return text
}

// drawInput is the meter of the live input, also while a phrase loops.
func (c *comparison) drawInput(f *widget.Frame, area canvas.Rect, gutter, figures int) {
	if area.H >= c.desk.Reading.Channels {
		view.DrawInput(f, area, c.desk, gutter, figures)
		return
	}
	f.TextIn(area.Left(gutter).Inset(1, 0), "Input", f.Strong(theme.Ink))
	bar := area.Skip(gutter).Left(area.W - gutter - figures - 1)
	if c.desk.Dead() {
		widget.NoSignal(f, bar)
		return
	}
	now, slow := c.desk.Reading.Input[0], c.desk.Slow.Input[0]
	for ch := 1; ch < c.desk.Reading.Channels; ch++ {
		now, slow = higher(now, c.desk.Reading.Input[ch]), higher(slow, c.desk.Slow.Input[ch])
	}
	view.DrawBar(f, bar, now.PeakDBFS, theme.Panel, func(int) (canvas.Color, rune) { return theme.Bar, '█' })
	view.Mark(f, bar, 0, '│', theme.Rule)
	if view.Holds(c.desk) {
		view.Mark(f, bar, now.HoldDBFS, '┃', theme.Hold)
	}
	right := area.Right(figures)
	view.LevelFigures(f, right, slow.PeakDBFS, slow.HoldDBFS, c.desk)
	view.Faults(f, right.Skip(11), slow)
}

// higher gives the higher peaks of two channels, and all their faults.
func higher(a, b dsp.Level) dsp.Level {
	a.PeakDBFS, a.HoldDBFS = max(a.PeakDBFS, b.PeakDBFS), max(a.HoldDBFS, b.HoldDBFS)
	a.ClippedRuns, a.FlatTops = a.ClippedRuns+b.ClippedRuns, a.FlatTops+b.FlatTops
	return a
}

// drawCursor tells what the band under the cursor is on both sides.
func (c *comparison) drawCursor(f *widget.Frame, row canvas.Rect) {
	i := c.plot.Cursor
	band := bands.At(i)
	x := f.TextIn(row.Inset(1, 0), "▲ "+format.Hertz(band.NominalHz), f.Chosen())
	levels := [2]float64{c.slow.Readings[0].Bands[i].LevelDBFS, c.slow.Readings[1].Bands[i].LevelDBFS}
	difference := c.slow.BandsDB[i]
	if c.dead() || i >= c.desk.Reading.BandsUsable {
		levels, difference = [2]float64{math.NaN(), math.NaN()}, math.NaN()
	}
	for s, level := range levels {
		x = f.Text(x+2, row.Y, compare.Side(s).String(), f.Style(theme.Dim))
		x = f.Text(x, row.Y, format.PadLeft(format.Figure(level), 7), f.Style(theme.Ink))
	}
	x = f.Text(x, row.Y, " dBFS", f.Style(theme.Dim))
	x = f.Text(x+3, row.Y, "B − A", f.Style(theme.Dim))
	x = f.Text(x, row.Y, format.PadLeft(format.Signed(difference), 7), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dB", f.Style(theme.Dim))
	lives, _, _ := strings.Cut(band.LivesHere, ";")
	if row.W >= 100 {
		lives = band.LivesHere
	}
	if rest := (canvas.Rect{X: x + 3, Y: row.Y, W: row.X + row.W - x - 4, H: 1}); canvas.Width(lives) <= rest.W {
		f.TextIn(rest, lives, f.Style(theme.Ink))
	}
}
