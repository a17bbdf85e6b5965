package lineup

import (
	"strconv"

	"rollready/capture/rig"
	"rollready/dsp/gainplan"
	"rollready/dsp/lineup/sequence"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Draw shows the strip with what to do, the list on the left, and on the right
// what belongs to the chosen row.
func (l *lineUp) Draw(f *widget.Frame, area canvas.Rect) {
	strip := 1
	if area.H >= 30 {
		strip = 3
	}
	if l.rows[l.list.At].heading() { // the mouse may choose one
		l.list.Move(1)
	}
	l.drawDo(f, area.Rows(0, strip))
	area = area.Inset(1, 0).Rows(strip+1, area.H-strip-1)
	if l.result != nil {
		l.drawResult(f, area)
		return
	}
	left := area.Left(min(max(area.W*2/5, 30), 56))
	l.list.Draw(f, left, func(i int, at canvas.Rect, chosen bool) { l.drawRow(f, l.rows[i], at, chosen) })
	right := area.Skip(left.W + 3)
	right.W = min(right.W, 92)
	if l.busy != "" {
		f.TextIn(right, l.busy, f.Strong(theme.Ink))
		return
	}
	name, write := l.beside()
	l.panel.Draw(f, right, name, write)
}

// beside is the page that belongs to the chosen row, or to what sounds.
func (l *lineUp) beside() (name string, write func(*widget.Frame, canvas.Rect)) {
	switch s := l.now().Sounds; {
	case s == rig.SequenceSounds, l.list.At > rowByClip && l.list.At < rowGainPlan:
		return "by clip", l.drawByClip
	case s == rig.ToneSounds:
		return "tone", l.drawTone
	case l.list.At >= rowPlanFirst:
		return "plan", l.drawPlan
	}
	return "by tone", l.drawByTone
}

func (l *lineUp) drawRow(f *widget.Frame, r lineRow, at canvas.Rect, chosen bool) {
	if r.heading() {
		f.TextIn(at, r.name, f.Strong(theme.Ink))
		return
	}
	name, value := f.Style(theme.Dim), f.Style(theme.Ink)
	if chosen {
		value = f.Chosen().On(theme.Panel)
		name = value
		f.Fill(at, ' ', value)
		f.Set(at.X, at.Y, '▸', value)
	}
	f.TextIn(at.Skip(2).Left(13), r.name, name)
	f.TextIn(at.Skip(15), r.value(), value)
}

// drawDo is the one sentence that says what to do. While something sounds it
// can't be missed.
func (l *lineUp) drawDo(f *widget.Frame, area canvas.Rect) {
	s := l.now()
	text, style := "Auto level off, mic level lowest, pad in, output low. Then the tone: space.", widget.PanelStyle()
	switch {
	case s.Sounds != rig.Quiet && s.Volume.Muted:
		text, style = "MUTED  The system mutes this output: the camera hears nothing. Unmute it.", f.Chip(theme.Over)
	case l.result != nil:
		text = "What the camera does to sound, measured from its clip."
	case s.Sounds == rig.ToneSounds:
		text, style = "TONE ON  Enter the meter's reading (e); step up (+) to the clip mark (c).", f.Chip(theme.Hot)
	case s.Sounds == rig.SequenceSounds:
		text, style = "SENDING  The camera must be recording until the end; touch nothing on it.", f.Chip(theme.Hot)
	case s.Sent:
		text = "Sent. Stop the camera, copy its clip here, read it (f)."
	}
	widget.DrawStrip(f, area, text, style, theme.Rule)
}

// drawWrapped writes a text in as many rows as it needs and gives their number.
func (l *lineUp) drawWrapped(f *widget.Frame, area canvas.Rect, color canvas.Color, text string) int {
	rows := format.Wrap(text, area.W)
	for y, line := range rows {
		f.TextIn(area.Row(y), line, f.Style(color))
	}
	return len(rows)
}

// drawByTone tells how to line up by tone.
func (l *lineUp) drawByTone(f *widget.Frame, area canvas.Rect) {
	y := 0
	for i, text := range [...]string{
		"Switch the camera's auto level off.",
		"Mic level lowest, pad in, our output low.",
		"Tone on: it starts low. Raise mic level and output from there.",
		"Type what the camera's meter reads.",
		"Step up to its clip mark; note it.",
	} {
		f.TextIn(area.Row(y), strconv.Itoa(i+1), f.Strong(theme.Ink))
		y += l.drawWrapped(f, area.Rows(y, area.H-y).Skip(2), theme.Ink, text)
	}
	l.drawCautions(f, area.Rows(y+1, area.H-y-1))
}

func (l *lineUp) drawCautions(f *widget.Frame, area canvas.Rect) {
	y := 0
	for _, text := range gainplan.Cautions() {
		f.TextIn(area.Row(y), "!", f.Strong(theme.Hot))
		y += l.drawWrapped(f, area.Rows(y, area.H-y).Skip(2), theme.Dim, text+".")
	}
}

// drawTone shows the tone that sounds, and what the camera should then read, or
// first that the balance is turned.
func (l *lineUp) drawTone(f *widget.Frame, area canvas.Rect) {
	s := l.now()
	x := widget.DrawBig(f, area.X, area.Y, format.Figure(s.LevelDBFS), f.Strong(theme.Ink))
	side := canvas.Rect{X: x + 1, Y: area.Y, W: area.X + area.W - x - 1, H: min(area.H, 3)}
	f.TextIn(side.Row(0), "dBFS", f.Strong(theme.Ink))
	f.TextIn(side.Row(1), l.toneKindWords(), f.Style(theme.Ink))
	f.TextIn(side.Row(2), "to "+l.now().Chosen.Called(), f.Style(theme.Ink))
	y := 4
	c := l.desk.Camera
	if balance := l.drawBalance(f, area.Rows(y, area.H-y)); balance > 0 {
		y += balance
	} else {
		text := "This camera was never lined up."
		if !c.LinedUp.IsZero() {
			text = "By its profile the camera reads " + format.Figure(c.Scale.Reads(s.LevelDBFS)) + " dBFS now, and clips at " + format.Figure(c.Scale.ClipDBFS) + "."
		}
		y += l.drawWrapped(f, area.Rows(y, area.H-y), theme.Ink, text) + 1
	}
	if area.W >= roomForKeys {
		for _, k := range [...][2]string{{"e", "enter what its meter reads"}, {"+ −", "step by 1 dB"}, {"c", "its clip mark has just lit"}, {"space", "tone off"}} {
			f.TextIn(area.Row(y), k[0], f.Strong(theme.Ink))
			f.TextIn(area.Row(y).Skip(7), k[1], f.Style(theme.Dim))
			y++
		}
		y++
	}
	l.drawCautions(f, area.Rows(y, area.H-y))
}

// roomForKeys is the width from which the tone's keys are listed: the strip above
// and the last row name them too.
const roomForKeys = 60

// drawByClip tells how to line up by clip, and how far the sequence is.
func (l *lineUp) drawByClip(f *widget.Frame, area canvas.Rect) {
	s, y := l.now(), 0
	if s.Sounds == rig.SequenceSounds {
		f.TextIn(area, s.Part, f.Strong(theme.Ink))
		f.TextRight(area.Row(0), strconv.Itoa(int(s.Seconds))+" of "+strconv.Itoa(int(s.Of+0.5))+" s", f.Style(theme.Ink))
		bar := area.Row(1)
		f.Fill(bar, '─', f.Style(theme.Rule))
		f.Fill(bar.Left(int(s.Seconds/max(s.Of, 1)*float64(bar.W)+0.5)), '━', f.Strong(theme.Target))
		y = 3
	}
	for i, text := range [...]string{
		"By tone first, or the sequence overloads.",
		"Let the camera record, wait two seconds.",
		"Send the sequence (s): " + strconv.Itoa(int(sequence.Seconds()+0.5)) + " s of tones, a sweep and silence.",
		"Stop the camera and copy the clip to this computer.",
		"Read it (f): type its path. The result goes into the profile.",
	} {
		if s.Sounds == rig.SequenceSounds && i < 3 { // done
			continue
		}
		f.TextIn(area.Row(y), strconv.Itoa(i+1), f.Strong(theme.Ink))
		y += l.drawWrapped(f, area.Rows(y, area.H-y).Skip(2), theme.Ink, text)
	}
	l.drawCautions(f, area.Rows(y+1, area.H-y-1))
}

// drawBalance warns of a balance that is turned, and gives the rows it takes.
func (l *lineUp) drawBalance(f *widget.Frame, area canvas.Rect) int {
	v := l.desk.Rig.LineVolume().Volume
	if !v.Uneven() {
		return 0
	}
	return l.drawWrapped(f, area, theme.Hot, "The system's balance is turned, its channels are at "+rig.HeightWords(v)+": set it to the middle first.") + 1
}
