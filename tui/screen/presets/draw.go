package presets

import (
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// Draw shows the list on the left, the chosen preset on the right.
func (p *presetList) Draw(f *widget.Frame, area canvas.Rect) {
	area = area.Inset(1, 0).Rows(1, area.H-1)
	left := area.Left(min(max(area.W/3, 26), 44))
	right := area.Skip(left.W + 2)
	if len(p.items) == 0 {
		f.TextIn(left, "No presets yet: k keeps the present chain", f.Style(theme.Dim))
	}
	p.list.Draw(f, left, func(i int, at canvas.Rect, chosen bool) { p.drawItem(f, i, at, chosen) })
	if p.list.At < len(p.items) {
		p.drawDetails(f, right, p.items[p.list.At])
	}
}

func (p *presetList) drawItem(f *widget.Frame, i int, at canvas.Rect, chosen bool) {
	item, style := p.items[i], f.Style(theme.Ink)
	if chosen {
		style = f.Chosen().On(theme.Panel)
		f.Fill(at, ' ', style)
		f.Set(at.X, at.Y, '▸', style)
	}
	x := f.TextIn(at.Skip(2).Left(at.W-13), item.Name, style) + 2
	tag := ""
	if item.Name == p.desk.Settings.CompareA {
		tag += "A "
	}
	if item.Name == p.desk.Settings.CompareB {
		tag += "B "
	}
	if item.Wrong != nil {
		tag = "unreadable"
	} else if item.Name == p.desk.Settings.Preset {
		tag += "in use"
	}
	f.TextRight(canvas.Rect{X: x, Y: at.Y, W: at.X + at.W - x - 1, H: 1}, tag, style)
}

func (p *presetList) drawDetails(f *widget.Frame, area canvas.Rect, item desk.PresetItem) {
	f.TextIn(area, item.Name, f.Strong(theme.Ink))
	if item.Wrong != nil {
		f.TextIn(area.Row(2), item.Wrong.Error(), f.Style(theme.Ink))
		return
	}
	y := 1
	for _, line := range format.Wrap(item.Note, area.W) {
		f.TextIn(area.Row(y), line, f.Style(theme.Dim))
		y++
	}
	y++
	now := p.desk.Settings.Chain()
	for _, line := range [...][3]string{
		{"Gain", format.Signed(item.Chain().GainDB) + " dB", format.Signed(now.GainDB) + " dB"},
		{"High-pass", view.CutWords(item.Chain().HighPass), view.CutWords(now.HighPass)},
		{"Low-pass", view.CutWords(item.Chain().LowPass), view.CutWords(now.LowPass)},
		{"Limiter", view.LimitWords(item.Chain().Limit), view.LimitWords(now.Limit)},
	} {
		row := area.Row(y)
		f.TextIn(row.Left(10), line[0], f.Style(theme.Dim))
		f.TextIn(row.Skip(10).Left(18), line[1], f.Strong(theme.Ink))
		if line[1] != line[2] && row.W > 40 {
			f.TextIn(row.Skip(29), "now "+line[2], f.Style(theme.Dim))
		}
		y++
	}
	p.drawResponse(f, area.Rows(y+1, min(area.H-y-2, 12)), item.Chain())
}

// drawResponse draws what the preset does over frequency.
func (p *presetList) drawResponse(f *widget.Frame, area canvas.Rect, s chain.Settings) {
	if area.H < 4 || area.W < 40 {
		return
	}
	a := view.Axis{X: area.X + 5, Cell: (area.W - 6) / 32}
	plot := canvas.Rect{X: a.X, Y: area.Y, W: a.Width(), H: area.H - 1}
	f.Fill(plot, ' ', f.Style(theme.Ink).On(theme.Panel))
	for _, gain := range []int{24, 0, -24} {
		y := view.LevelRow(plot, view.Unity+float64(gain))
		f.TextRight(canvas.Rect{X: area.X, Y: y, W: 4, H: 1}, format.SignedInt(gain), f.Style(theme.Dim))
		for x := plot.X; x < plot.X+plot.W; x++ {
			f.Set(x, y, '┈', f.Style(theme.Rule).On(theme.Panel))
		}
	}
	p.curve.Update(s, max(p.desk.Reading.RateHz, 44100), a, plot.H)
	p.curve.Draw(f, plot)
	for i := 3; i < 32; i += 6 {
		f.Text(a.X+i*a.Cell, area.Y+area.H-1, view.BandWord(bands.At(i).NominalHz), f.Style(theme.Dim))
	}
	f.TextRight(canvas.Rect{X: area.X, Y: area.Y + area.H - 1, W: 4, H: 1}, "dB", f.Style(theme.Dim))
}
