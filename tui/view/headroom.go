package view

import (
	"strconv"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Worst is one level at the camera for all channels of a reading: the highest
// peaks, the least headroom, the worst zone.
func Worst(r *dsp.Reading) dsp.CameraLevel {
	l := r.Camera[0]
	for _, o := range r.Camera[1:max(r.Fed, 1)] {
		l.PeakDBFS, l.HoldDBFS = max(l.PeakDBFS, o.PeakDBFS), max(l.HoldDBFS, o.HoldDBFS)
		l.HeadroomDB, l.LeastHeadroomDB = min(l.HeadroomDB, o.HeadroomDB), min(l.LeastHeadroomDB, o.LeastHeadroomDB)
		l.Overs = max(l.Overs, o.Overs)
		l.Zone = camera.Higher(l.Zone, o.Zone)
	}
	return l
}

// drawCameraFigures writes a row for each channel and one for the headroom.
func drawCameraFigures(f *widget.Frame, right canvas.Rect, d *desk.Desk) {
	for c := range d.Reading.Fed {
		l := d.Slow.Camera[c]
		CameraFigures(f, right.Row(c), l, d)
	}
	l := Worst(&d.Slow)
	row := right.Row(right.H - 1)
	x := f.TextIn(row, format.PadLeft(format.Figure(l.LeastHeadroomDB), 6), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dB headroom", f.Style(theme.Ink))
	if marked := feedChip(f, row.Skip(x+1-row.X), d); !marked && right.W >= 28 {
		f.Text(x, row.Y, ", now "+format.Figure(l.HeadroomDB), f.Style(theme.Dim))
	}
}

// CameraFigures writes a level at the camera and the zone of the voice. How
// often the camera was overloaded since the last reset takes the place of the
// held peak: it stays.
func CameraFigures(f *widget.Frame, right canvas.Rect, l dsp.CameraLevel, d *desk.Desk) {
	x := LevelFigures(f, right, l.PeakDBFS, l.HoldDBFS, d)
	if l.Overs > 0 {
		x = right.X + 11
		f.Fill(right.Skip(11), ' ', f.Style(theme.Ink))
	}
	zoneWord(f, right.Skip(x+1-right.X), l)
}

func zoneWord(f *widget.Frame, at canvas.Rect, l dsp.CameraLevel) {
	zone, text := l.Zone, zoneChips[l.Zone]
	if l.Overs > 0 {
		zone, text = camera.Over, " OVER "+strconv.FormatInt(l.Overs, 10)+"× "
	}
	if at.W < canvas.Width(text) {
		text = zoneChips[zone]
	}
	if zone == camera.Unjudged {
		f.TextIn(at, text, f.Style(theme.Dim))
		return
	}
	color, _ := f.Zone(zone)
	f.TextIn(at, text, f.Chip(color))
}

var zoneChips = map[camera.Zone]string{camera.Unjudged: "unjudged", camera.Low: " LOW    ", camera.Target: " TARGET ", camera.Hot: " HOT    ", camera.Over: " OVER   "}

// drawCameraWide has room for the headroom in large figures: the least since
// the last reset, the present one beside it.
func drawCameraWide(f *widget.Frame, right canvas.Rect, d *desk.Desk) {
	l := Worst(&d.Slow)
	x := widget.DrawBig(f, right.X+1, right.Y+right.H-3, format.Figure(l.LeastHeadroomDB), f.Style(theme.Ink))
	side := canvas.Rect{X: x + 1, Y: right.Y + right.H - 3, W: right.X + right.W - x - 1, H: 3}
	x = f.TextIn(side.Row(0), "dB", f.Strong(theme.Ink)) + 2
	f.TextIn(side.Row(0).Skip(x-side.X), "now "+format.Figure(l.HeadroomDB), f.Style(theme.Dim))
	x = f.TextIn(side.Row(1), "headroom", f.Style(theme.Ink)) + 1
	feedChip(f, side.Row(1).Skip(x-side.X), d)
	zoneWord(f, side.Row(2), l)
	for c := range d.Reading.Fed {
		l := d.Slow.Camera[c]
		LevelFigures(f, right.Row(c), l.PeakDBFS, l.HoldDBFS, d)
	}
}
