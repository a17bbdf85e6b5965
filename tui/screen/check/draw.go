package check

import (
	"strconv"
	"strings"

	"rollready/capture/rig/guided"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Draw shows the strip with what to do, and under it the guide or the result.
func (c *check) Draw(f *widget.Frame, area canvas.Rect) {
	strip, below := 1, 2
	if area.H >= 30 {
		strip, below = 3, 4
	}
	rest := area.Rows(below, area.H-below)
	strips := area.Rows(0, strip)
	switch {
	case c.running():
		p := c.desk.Check.Progress
		c.drawAsk(f, strips, p)
		c.drawGuide(f, rest, p)
	case c.desk.Checked != nil:
		c.drawVerdict(f, strips)
		c.drawResult(f, rest.Inset(1, 0))
	default:
		widget.DrawStrip(f, strips, "Judge room and voice before you roll: enter begins.", widget.PanelStyle(), theme.Rule)
		c.drawGuide(f, rest, guided.Progress{Progress: preroll.Progress{Left: preroll.QuietSeconds}})
	}
}

// drawAsk says what the person is to do now, and what went wrong before.
func (c *check) drawAsk(f *widget.Frame, area canvas.Rect, p guided.Progress) {
	if c.desk.Dead() {
		view.DrawAdvice(f, area, c.desk)
		return
	}
	text, style := c.asks(p), widget.PanelStyle()
	switch {
	case c.desk.Check.Judging:
		text = "Judging what was heard …"
	case p.Note != guided.NoNote:
		text, style = string(p.Note), f.Chip(theme.Hot)
	case p.Trouble == preroll.Talking:
		text, style = "That was not quiet: someone talked or knocked. Once more: stay quiet.", f.Chip(theme.Hot)
	case p.Trouble == preroll.NobodySpoke:
		text, style = "Nobody spoke. Once more: "+uncapital(c.asks(p)), f.Chip(theme.Hot)
	}
	widget.DrawStrip(f, area, text, style, theme.Target)
}

// asks is what is to be done now, and by whom.
func (c *check) asks(p guided.Progress) string {
	switch {
	case p.Step == preroll.Quiet:
		return "Stay quiet."
	case p.Strip > 0:
		return "It is the turn of " + c.desk.Settings.Strips.Called(p.Strip-1) + ": speak as you will speak. The others listen."
	}
	return "Speak as you will speak."
}

func uncapital(text string) string { return strings.ToLower(text[:1]) + text[1:] }

// step is one row of the guide: a part of the check, and what helps to do it.
type step struct {
	name, help string
	of         preroll.Step
	strip      int // whose turn it is, from 1; 0: everybody's
}

// steps are those of the check to come, or of the one that runs.
func (c *check) steps() []step {
	list := []step{{name: "1 Stay quiet", help: "No talk, no steps. What will run while you film may run: it belongs to the room.", of: preroll.Quiet}}
	const help = "The real words at the real distance, with the loud moments in them."
	turns := c.desk.Turns()
	for i, p := range turns {
		list = append(list, step{name: strconv.Itoa(2+i) + " " + p.Called() + " speaks", of: preroll.Speak, strip: p.Strip})
	}
	if len(turns) == 0 {
		return append(list, step{"2 Speak as you will speak", help, preroll.Speak, 0})
	}
	list[len(list)-1].help = "One after the other: " + uncapital(help)
	return list
}

// drawGuide shows the meters, so that one sees that the microphone is alive,
// and the steps.
func (c *check) drawGuide(f *widget.Frame, area canvas.Rect, p guided.Progress) {
	n := max(c.desk.Reading.Channels, 1)
	figures := view.FigureCells(area.W)
	view.DrawInput(f, area.Rows(0, n), c.desk, view.LeastGutter, figures)
	view.DrawCamera(f, area.Rows(n, n+1), c.desk, view.LeastGutter, figures)
	rest := area.Rows(2*n+2, area.H-2*n-2).Inset(1, 0)
	y := 0
	for _, s := range c.steps() {
		c.drawStep(f, rest.Row(y), s, p)
		y++
		if s.help == "" {
			continue
		}
		for _, line := range format.Wrap(s.help, rest.W-2) {
			f.TextIn(rest.Row(y).Skip(2), line, f.Style(theme.Dim))
			y++
		}
		y++
	}
	if c.running() && !c.desk.Check.Judging && p.Step != preroll.Done {
		c.drawCountdown(f, rest.Rows(y, 3), p)
	}
}

// drawStep is a step's name, its bar and how far it is.
func (c *check) drawStep(f *widget.Frame, row canvas.Rect, s step, p guided.Progress) {
	share, words, style := 0.0, "", f.Style(theme.Dim)
	switch {
	case !c.running():
		words = strconv.Itoa([...]int{preroll.QuietSeconds, preroll.SpeakSeconds}[s.of]) + " s"
	case p.Step > s.of || p.Strip > s.strip:
		share, words = 1, "done"
	case p.Step == s.of && p.Strip == s.strip:
		share, style = p.Share, f.Strong(theme.Ink)
		words = strconv.Itoa(int(p.Left+0.999)) + " s left"
	}
	f.TextIn(row.Left(27), s.name, style)
	bar := row.Skip(27).Left(row.W - 27 - 10)
	full := int(share*float64(bar.W) + 0.5)
	f.Fill(bar, '─', f.Style(theme.Rule))
	f.Fill(bar.Left(full), '━', f.Strong(theme.Target))
	f.TextRight(row, words, style)
}

// drawCountdown shows the seconds left in large figures: they are read from
// where one speaks.
func (c *check) drawCountdown(f *widget.Frame, area canvas.Rect, p guided.Progress) {
	if area.H < 3 {
		return
	}
	x := widget.DrawBig(f, area.X+2, area.Y, strconv.Itoa(int(p.Left+0.999)), f.Strong(theme.Ink))
	side := canvas.Rect{X: x + 1, Y: area.Y, W: area.X + area.W - x - 1, H: 3}
	f.TextIn(side.Row(1), "seconds more", f.Style(theme.Ink))
	f.TextIn(side.Row(2), c.asks(p), f.Strong(theme.Ink))
}

// drawVerdict is the answer to "may I roll?".
func (c *check) drawVerdict(f *widget.Frame, area canvas.Rect) {
	k := c.desk.Checked
	word, style := view.VerdictWord(f, k.Verdict)
	says := c.says(k.Verdict)
	f.Fill(area, ' ', style)
	mid := area.Rows((area.H-1)/2, 1).Inset(2, 0)
	if area.H >= 3 { // letters apart are larger
		word = spaced(word)
	}
	x := f.TextIn(mid, word, style.With(canvas.Underline))
	right := format.Ago(c.desk.At.Sub(k.At))
	switch {
	case c.desk.Check.Judging:
		right = "judging anew …"
	case c.desk.Changed(k):
		right = "settings changed since"
	}
	f.TextRight(mid, right, style)
	f.TextIn(canvas.Rect{X: x + 2, Y: mid.Y, W: mid.X + mid.W - x - 4 - canvas.Width(right), H: 1}, says, style)
}

// says answers whether one may roll: never yes while the camera hears nothing.
func (c *check) says(v verdict.Verdict) string {
	switch {
	case c.desk.Fed() || v == verdict.NotReady:
		return v.Words()
	case v == verdict.Ready:
		return "but the camera is not fed"
	}
	return "see to what follows, and feed the camera"
}

func spaced(word string) string {
	s := ""
	for i, r := range word {
		if i > 0 {
			s += " "
		}
		s += string(r)
	}
	return s
}
