package check

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// drawResult shows the findings, and beside or under them what suits.
func (c *check) drawResult(f *widget.Frame, area canvas.Rect) {
	const suits = 7
	if area.W >= 110 {
		left := area.Left(area.W * 11 / 20)
		right := area.Skip(left.W + 3)
		c.drawFindings(f, left)
		c.drawSuits(f, right.Rows(0, suits))
		c.drawHeard(f, right.Rows(suits, suits))
		c.drawRoom(f, right.Rows(2*suits+1, min(right.H-2*suits-1, 30)))
		return
	}
	c.drawFindings(f, area.Rows(0, area.H-suits-1))
	bottom := area.Rows(area.H-suits, suits)
	heard := 23 // the least it takes, in cells
	if area.W >= 76 {
		heard = area.W - 48
	}
	c.drawSuits(f, bottom.Left(area.W-heard-2))
	c.drawHeard(f, bottom.Right(heard))
}

// foundRow is one row of the list of findings.
type foundRow struct {
	of     verdict.Finding
	text   string
	first  bool // of its finding
	action bool // first of the action
}

const foundGutter = 12

// foundRows breaks message and action of all findings into rows.
func (c *check) foundRows(w int) (rows []foundRow) {
	for _, one := range c.desk.Checked.Findings {
		if len(rows) > 0 {
			rows = append(rows, foundRow{})
		}
		for i, line := range format.Wrap(one.Message, w) {
			rows = append(rows, foundRow{of: one, text: line, first: i == 0})
		}
		for i, line := range format.Wrap(one.Action, w) {
			rows = append(rows, foundRow{of: one, text: line, action: i == 0})
		}
	}
	return rows
}

func (c *check) drawFindings(f *widget.Frame, area canvas.Rect) {
	rows := c.foundRows(area.W - foundGutter)
	if len(rows) == 0 {
		f.TextIn(area, "Nothing found that needs a hand.", f.Strong(theme.Ink))
	}
	c.found.Fit(area, len(rows))
	c.found.Draw(f, func(i int, at canvas.Rect) { drawFound(f, at, rows[i]) })
}

func drawFound(f *widget.Frame, row canvas.Rect, r foundRow) {
	text := row.Skip(foundGutter)
	switch {
	case r.first:
		word, style := severityWord(f, r.of.Severity)
		f.TextIn(row, word, style)
		f.TextIn(text, r.text, f.Strong(theme.Ink))
	case r.action:
		f.TextRight(row.Left(foundGutter-1), string(r.of.Place)+" →", f.Style(theme.Dim))
		f.TextIn(text, r.text, f.Style(theme.Ink))
	default:
		f.TextIn(text, r.text, f.Style(theme.Ink))
	}
}

func severityWord(f *widget.Frame, s verdict.Severity) (string, canvas.Style) {
	switch s {
	case verdict.Stop:
		return " STOP    ", f.Chip(theme.Over)
	case verdict.Caution:
		return " CAUTION ", f.Chip(theme.Hot)
	}
	return " INFO    ", canvas.Style{FG: theme.Ink, BG: theme.Panel}
}

// suits is what suits one voice beside what is set.
type suits struct {
	who     string // "" where there is one voice
	strip   int    // from 0
	to, now chain.Settings
	known   bool
}

// suits is what suits every voice of the check.
func (c *check) suits() (list []suits) {
	set := &c.desk.Settings.Strips
	to, known := c.desk.Recommended()
	for _, one := range c.desk.Checked.Strips {
		i := one.Strip - 1
		list = append(list, suits{set.Called(i), i, to.Chain(i), set.Chain(i), one.Recommend.OutputGainDB.Known()})
	}
	if i := c.desk.Settings.Strip; list == nil {
		list = []suits{{"", i, to.Chain(i), set.Chain(i), known}}
	}
	return list
}

// drawSuits lists what suits each voice here beside what is set.
func (c *check) drawSuits(f *widget.Frame, area canvas.Rect) {
	list := c.suits()
	if list[0].who == "" {
		c.drawOneSuits(f, area, list[0])
		return
	}
	f.TextIn(area, "Suits each voice here", f.Strong(theme.Ink))
	f.TextIn(area.Row(1).Skip(13), "suits", f.Style(theme.Dim))
	f.TextIn(area.Row(1).Skip(30), "set now", f.Style(theme.Dim))
	for i, s := range list {
		row, style := area.Row(2+i), f.Style(theme.Ink)
		f.TextIn(row.Left(12), s.who, f.Style(theme.Dim))
		text := "unknown"
		if s.known {
			text = gainAndCut(s.to)
		}
		if s.known && s.to != s.now {
			style = f.Strong(theme.Ink)
		}
		f.TextIn(row.Skip(13).Left(16), text, style)
		f.TextIn(row.Skip(30), gainAndCut(s.now), f.Style(theme.Ink))
	}
	c.drawApplied(f, area.Rows(2+len(list), area.H-2-len(list)), list)
}

// gainAndCut is short: "+6.5 dB, 75/24".
func gainAndCut(c chain.Settings) string {
	return format.Signed(c.GainDB) + " dB, " + c.HighPass.String()
}

// drawOneSuits is the list of one voice.
func (c *check) drawOneSuits(f *widget.Frame, area canvas.Rect, s suits) {
	f.TextIn(area, "Suits this voice here", f.Strong(theme.Ink))
	if !s.known {
		f.TextIn(area.Row(2), "unknown: no voice was heard", f.Style(theme.Ink))
		return
	}
	f.TextIn(area.Row(1).Skip(11), "suits", f.Style(theme.Dim))
	both := area.W >= 44 // else there is no room for what is set
	if both {
		f.TextIn(area.Row(1).Skip(28), "set now", f.Style(theme.Dim))
	}
	for i, line := range [...][3]string{
		{"Gain", format.Signed(s.to.GainDB) + " dB", format.Signed(s.now.GainDB) + " dB"},
		{"High-pass", view.CutWords(s.to.HighPass), view.CutWords(s.now.HighPass)},
	} {
		row := area.Row(2 + i)
		f.TextIn(row.Left(11), line[0], f.Style(theme.Dim))
		style := f.Style(theme.Ink)
		if line[1] != line[2] {
			style = f.Strong(theme.Ink)
		}
		f.TextIn(row.Skip(11).Left(16), line[1], style)
		if both {
			f.TextIn(row.Skip(28), line[2], f.Style(theme.Ink))
		}
	}
	f.TextIn(area.Row(4).Skip(11), c.desk.Checked.Recommend.Once(), f.Style(theme.Ink))
	c.drawApplied(f, area.Rows(5, area.H-5), []suits{s})
}

// drawApplied says whether what suits is set, and by which key it comes or goes.
func (c *check) drawApplied(f *widget.Frame, area canvas.Rect, list []suits) {
	text, set := "a applies what suits", true
	for _, s := range list {
		set = set && s.to == s.now
	}
	switch undo := c.desk.Check.Undo; {
	case undo != nil && len(list) > 1:
		text = "Applied. u brings back what was set"
	case undo != nil:
		was := undo.Chain(list[0].strip)
		text = "Applied. u brings back " + format.Signed(was.GainDB) + " dB, " + view.CutWords(was.HighPass)
	case set:
		text = "Set as it suits."
	}
	for i, line := range format.Wrap(text, area.W) {
		f.TextIn(area.Row(i), line, f.Style(theme.Dim))
	}
}

// measured is one row of what was heard.
type measured struct {
	name, short, unit string // short is the name beside several voices
	of                func(s preroll.Strip) float64
}

// drawHeard lists what was heard, of several people side by side.
func (c *check) drawHeard(f *widget.Frame, area canvas.Rect) {
	k := c.desk.Checked
	f.TextIn(area, "Heard", f.Strong(theme.Ink))
	heard, all := k.Strips, preroll.Strip{Voice: k.Voice, RoomTone: k.RoomTone}
	for i, m := range [...]measured{
		{"voice peaks", "peaks", "dBTP", func(s preroll.Strip) float64 { return float64(s.Voice.PeakDBFS) }},
		{"on camera", "camera", "dBFS", func(s preroll.Strip) float64 { return k.Camera.Reads(float64(s.Voice.PeakDBFS) + s.Voice.SummedDB) }},
		{"loudness", "loud", "LUFS", func(s preroll.Strip) float64 { return float64(s.Voice.ShortTermLUFS) }},
		{"over room", "over room", "dBA", func(s preroll.Strip) float64 { return float64(s.Voice.SNRDBA) }},
		{"room tone", "room", "dBFS", func(s preroll.Strip) float64 { return float64(s.RoomTone.LevelDBFS) }},
		{"weighted", "room", "dBA", func(s preroll.Strip) float64 { return float64(s.RoomTone.LevelDBA) }},
	} {
		row := area.Row(1 + i)
		if len(heard) > 0 {
			f.TextIn(row, m.short+" "+m.unit, f.Style(theme.Dim))
			c.drawEach(f, area, i, m.of)
			continue
		}
		f.TextIn(row, m.name, f.Style(theme.Dim))
		text := format.PadLeft(format.Figure(m.of(all)), 6) + " " + m.unit
		if math.IsNaN(m.of(all)) { // without a voice
			text = "unknown"
		}
		f.TextIn(row.Skip(12), text, f.Style(theme.Ink))
	}
}

// drawEach writes one figure of each voice under the names, as many as have room.
func (c *check) drawEach(f *widget.Frame, area canvas.Rect, row int, of func(s preroll.Strip) float64) {
	const label, cells = 14, 8
	for n, s := range c.desk.Checked.Strips {
		if label+(n+1)*cells > area.W {
			return
		}
		column := area.Skip(label + n*cells).Left(cells)
		if row == 0 {
			f.TextRight(column, canvas.Cut(c.desk.Settings.Strips.Called(s.Strip-1), cells-1), f.Style(theme.Dim))
		}
		text := format.Figure(of(s))
		if math.IsNaN(of(s)) {
			text = "unknown"
		}
		f.TextRight(column.Row(1+row), text, f.Style(theme.Ink))
	}
}

// roomScale is the scale of the room tone's bands in dBFS.
var roomScale = widget.Span{Lo: -120, Hi: -40}

// drawRoom draws the room tone at the input by band.
func (c *check) drawRoom(f *widget.Frame, area canvas.Rect) {
	quiet := c.desk.Checked.Quiet
	if area.H < 6 || area.W < 40 || len(quiet) == 0 {
		return
	}
	f.TextIn(area, "Room tone at the input by band, dBFS", f.Strong(theme.Ink))
	cell := max((area.W-6)/dsp.BandCount, 1)
	plot := canvas.Rect{X: area.X + 5, Y: area.Y + 2, W: cell * dsp.BandCount, H: area.H - 3}
	for v := -40; v >= -120; v -= 20 {
		y := plot.Y + plot.H - 1 - roomScale.Column(float64(v)-0.01, plot.H)
		f.TextRight(canvas.Rect{X: area.X, Y: y, W: 4, H: 1}, format.FigureInt(v), f.Style(theme.Dim))
		f.Fill(canvas.Rect{X: plot.X, Y: y, W: plot.W, H: 1}, '┈', f.Style(theme.Rule))
	}
	of := quiet[len(quiet)-1]
	for i := range dsp.BandCount {
		steps := int(roomScale.Cells(of[i], plot.H)*8 + 0.5)
		for row := 0; row*8 < steps; row++ {
			f.Fill(canvas.Rect{X: plot.X + i*cell, Y: plot.Y + plot.H - 1 - row, W: max(cell-1, 1), H: 1},
				widget.Rising[min(steps-row*8, 8)], f.Style(theme.Room))
		}
	}
	for i := 3; i < dsp.BandCount; i += 6 {
		f.Text(plot.X+i*cell, plot.Y+plot.H, view.BandWord(bands.At(i).NominalHz), f.Style(theme.Dim))
	}
	f.TextRight(canvas.Rect{X: area.X, Y: plot.Y + plot.H, W: 4, H: 1}, "Hz", f.Style(theme.Dim))
}
