package tui

import (
	"slices"
	"strconv"
	"strings"

	"rollready/capture"
	"rollready/capture/rig/session"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/screen/far"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// draw makes a whole frame: tabs, status, the open screen, the last row.
func (r *root) draw() {
	f := &r.frame
	f.Hits = f.Hits[:0]
	f.Clear(f.Style(theme.Ink))
	all := f.Bounds()
	if all.W < minWidth || all.H < minHeight {
		tooSmall(f, all)
		return
	}
	if r.far {
		far.Draw(f, all, r.desk)
		return
	}
	r.drawTabs(all.Row(0))
	top := 1
	if recRow(r.desk) {
		drawRec(f, all.Row(top), r.desk, recWords(r.desk))
		top++
	}
	s := r.all[r.open]
	drawStatus(f, all.Row(top), r.desk, r.alarms(s))
	body := all.Rows(top+1, all.H-top-2)
	s.Draw(f, body)
	r.drawLast(all.Row(all.H-1), s)
	if r.help {
		r.drawHelp(body, s)
	}
}

func tooSmall(f *widget.Frame, all canvas.Rect) {
	lines := []string{
		"Terminal too small",
		"is " + strconv.Itoa(all.W) + " × " + strconv.Itoa(all.H),
		"needs " + strconv.Itoa(minWidth) + " × " + strconv.Itoa(minHeight),
	}
	top := max((all.H-len(lines))/2, 0)
	for i, line := range lines {
		row := all.Row(top + i)
		row.X = max((all.W-canvas.Width(line))/2, 0)
		row.W = all.W - row.X
		f.TextIn(row, line, f.Style(theme.Ink))
	}
}

// drawStatus tells what is connected. A lost input and the demo scene can't
// be missed: they take the row.
func drawStatus(f *widget.Frame, row canvas.Rect, d *desk.Desk, alarms []verdict.Finding) {
	stop := len(alarms) > 0 && alarms[0].Severity == verdict.Stop
	row = drawNotFed(f, row, d, stop || row.W < 100)
	if !stop {
		row = drawSound(f, row, d)
	}
	switch {
	case len(alarms) > 0 && (d.Playing == nil || d.Dead()):
		drawAlarms(f, row, alarms)
		return
	case d.Playing != nil:
		drawPlaying(f, row, d)
		return
	case d.Status.Kind == capture.Demo:
		text := "DEMO  a built-in scene, not your microphone"
		if d.Status.Notice != "" {
			text = "DEMO  " + d.Status.Notice
		}
		f.Fill(row, ' ', f.Chip(theme.Demo))
		x := f.TextIn(row.Inset(1, 0), text, f.Chip(theme.Demo)) + 2
		words := view.PresetWords(d)
		if row.W >= 90 {
			words += "   " + cameraWords(d.Camera.Name)
		}
		rest := canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x - 1, H: 1}
		rest.W -= drawChecked(f, rest, d, f.Chip(theme.Demo))
		if canvas.Width(words) <= rest.W {
			f.TextRight(rest, words, f.Chip(theme.Demo))
		}
		return
	case d.Status.Notice != "": // another microphone than last time, above all
		f.Fill(row, ' ', f.Chip(theme.Hot))
		f.TextIn(row.Inset(1, 0), d.Status.Notice, f.Chip(theme.Hot))
		return
	}
	drawConnected(f, row, d)
}

// alarms are what the status row has to say on a screen: on the Monitor its
// strip says the gravest already.
func (r *root) alarms(on desk.Screen) []verdict.Finding {
	d := r.desk
	said := func(c verdict.Finding) bool { return c.Code == d.Sentence.Code }
	if on.Name() != desk.MonitorName || d.Dead() {
		return d.Alarms()
	}
	return slices.DeleteFunc(d.Alarms(), said)
}

// drawAlarms writes what is wrong on every screen, the weightiest first, in as
// many words as there is room for.
func drawAlarms(f *widget.Frame, row canvas.Rect, alarms []verdict.Finding) {
	first := alarms[0]
	style := view.SeverityStyle(f, first.Severity)
	f.Fill(row, ' ', style)
	row = row.Inset(1, 0)
	name := strings.ToUpper(strings.ReplaceAll(string(first.Code), "-", " ")) + "  "
	var others string
	for _, a := range alarms[1:] {
		others += "  ·  " + a.Message
	}
	for _, text := range []string{name + first.Message + " " + first.Action + others, name + first.Message + others,
		name + first.Message + " " + first.Action, first.Message + " " + first.Action, name + first.Message, first.Message, first.Text()} {
		if canvas.Width(text) <= row.W || text == first.Text() {
			f.TextIn(row, text, style)
			return
		}
	}
}

// cameraWords name a camera; the first of all has no other name.
func cameraWords(name string) string {
	if name == "camera" {
		return name
	}
	return "camera " + name
}

func drawConnected(f *widget.Frame, row canvas.Rect, d *desk.Desk) {
	s := d.Status
	row = row.Inset(1, 0)
	lost := lossWords(s)
	if lost != "" {
		f.TextRight(row, lost, f.Chip(theme.Hot))
		row.W -= canvas.Width(lost) + 2
	}
	row.W -= drawChecked(f, row, d, f.Style(theme.Dim))
	gives := " " + format.Rate(s.SourceHz) + " ch " + view.ChannelWords(d)
	in := view.Called(s.Source, s.Mark, max(f.Bounds().W/4, 20)) + gives
	if over := canvas.Width(in+view.PresetWords(d)) + 3 - row.W; over > 0 && row.W < 90 { // the preset counts for more than the whole name
		in = view.Called(s.Source, s.Mark, max(canvas.Width(in)-canvas.Width(gives)-over, 6)) + gives
	}
	if s.Ended {
		in = s.Source + " ENDED"
	}
	x := row.X
	for _, part := range [...][2]string{{"in", in}, {"preset", view.PresetWords(d)}, {"camera", d.Camera.Name}} {
		rest := canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x, H: 1}
		if f.Bounds().W >= 110 && part[0] != part[1] {
			rest.X = f.TextIn(rest, part[0]+" ", f.Style(theme.Dim))
			rest.W = row.X + row.W - rest.X
		}
		x = f.TextIn(rest, part[1], f.Style(theme.Ink)) + 3
	}
	if lost == "" {
		drawQuiet(f, canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x, H: 1}, d)
	}
}

// drawQuiet writes what nobody needs to act on: that nothing was lost, or the
// battery where the tabs have no room for it.
func drawQuiet(f *widget.Frame, row canvas.Rect, d *desk.Desk) {
	battery := batteryWords(d.Battery)
	for _, text := range [...]string{battery.text, "no dropouts"} {
		if known := text == battery.text && (battery.bad || f.Bounds().W >= 100); !known && text != "" && canvas.Width(text) <= row.W {
			f.TextRight(row, text, f.Style(theme.Dim))
			return
		}
	}
}

// lossWords counts what was lost of the signal, "" if nothing.
func lossWords(s session.Status) string {
	switch {
	case s.Dropouts > 0:
		return " " + strconv.FormatInt(s.Dropouts, 10) + " frames dropped "
	case s.Sanitised > 0:
		return " " + strconv.FormatInt(s.Sanitised, 10) + " broken samples silenced "
	}
	return ""
}
