package tui

import (
	"rollready/dsp/bands"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// Draw shows the list on the left, the chosen preset on the right.
func (p *presetList) Draw(f *Frame, area canvas.Rect) {
	area = area.Inset(1, 0).Rows(1, area.H-1)
	left := area.Left(min(max(area.W/3, 26), 44))
	right := area.Skip(left.W + 2)
	if len(p.items) == 0 {
		f.TextIn(left, "No presets yet: s saves the present chain", f.Style(theme.Dim))
	}
	p.list.draw(f, left, func(i int, at canvas.Rect, chosen bool) { p.drawItem(f, i, at, chosen) })
	if p.list.at < len(p.items) {
		p.drawDetails(f, right, p.items[p.list.at])
	}
}

func (p *presetList) drawItem(f *Frame, i int, at canvas.Rect, chosen bool) {
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
	if item.wrong != nil {
		tag = "unreadable"
	} else if item.Name == p.desk.Settings.Preset {
		tag += "in use"
	}
	f.TextRight(canvas.Rect{X: x, Y: at.Y, W: at.X + at.W - x - 1, H: 1}, tag, style)
}

func (p *presetList) drawDetails(f *Frame, area canvas.Rect, item presetItem) {
	f.TextIn(area, item.Name, f.Strong(theme.Ink))
	if item.wrong != nil {
		f.TextIn(area.Row(2), item.wrong.Error(), f.Style(theme.Ink))
		return
	}
	y := 1
	for _, line := range wrap(item.Note, area.W) {
		f.TextIn(area.Row(y), line, f.Style(theme.Dim))
		y++
	}
	y++
	now := p.desk.Settings.Chain
	for _, line := range [...][3]string{
		{"Gain", signed(item.Chain.GainDB) + " dB", signed(now.GainDB) + " dB"},
		{"High-pass", cutWords(item.Chain.HighPass), cutWords(now.HighPass)},
		{"Low-pass", cutWords(item.Chain.LowPass), cutWords(now.LowPass)},
		{"Limiter", limitWords(item.Chain.Limit), limitWords(now.Limit)},
	} {
		row := area.Row(y)
		f.TextIn(row.Left(10), line[0], f.Style(theme.Dim))
		f.TextIn(row.Skip(10).Left(18), line[1], f.Strong(theme.Ink))
		if line[1] != line[2] && row.W > 40 {
			f.TextIn(row.Skip(29), "now "+line[2], f.Style(theme.Dim))
		}
		y++
	}
	p.drawResponse(f, area.Rows(y+1, min(area.H-y-2, 12)), item.Chain)
}

// drawResponse draws what the preset does over frequency.
func (p *presetList) drawResponse(f *Frame, area canvas.Rect, s chain.Settings) {
	if area.H < 4 || area.W < 40 {
		return
	}
	a := axis{area.X + 5, (area.W - 6) / 32}
	plot := canvas.Rect{X: a.x, Y: area.Y, W: a.width(), H: area.H - 1}
	f.Fill(plot, ' ', f.Style(theme.Ink).On(theme.Panel))
	for _, gain := range []int{24, 0, -24} {
		y := levelRow(plot, unity+float64(gain))
		f.TextRight(canvas.Rect{X: area.X, Y: y, W: 4, H: 1}, signedInt(gain), f.Style(theme.Dim))
		for x := plot.X; x < plot.X+plot.W; x++ {
			f.Set(x, y, '┈', f.Style(theme.Rule).On(theme.Panel))
		}
	}
	p.curve.update(s, max(p.desk.Reading.RateHz, 44100), a, plot.H)
	p.curve.draw(f, plot)
	for i := 3; i < 32; i += 6 {
		f.Text(a.x+i*a.cell, area.Y+area.H-1, bandWord(bands.At(i).NominalHz), f.Style(theme.Dim))
	}
	f.TextRight(canvas.Rect{X: area.X, Y: area.Y + area.H - 1, W: 4, H: 1}, "dB", f.Style(theme.Dim))
}

func limitWords(l chain.Limit) string {
	if !l.On {
		return "off"
	}
	return figure(l.CeilingDBTP) + " dBTP"
}
