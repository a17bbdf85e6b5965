package view

import (
	"math"

	"rollready/dsp/camera"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// least gives the channel with the least headroom.
func least(d *desk.Desk) (headroom float64, zone camera.Zone) {
	headroom, zone = math.Inf(1), camera.Low
	for c := range d.Reading.Channels {
		if l := d.Slow.Camera[c]; l.HeadroomDB < headroom {
			headroom = l.HeadroomDB
		}
	}
	for c := range d.Reading.Channels {
		if l := d.Slow.Camera[c]; worse(ZoneOf(d, l.HoldDBFS, l.PeakDBFS), zone) {
			zone = ZoneOf(d, l.HoldDBFS, l.PeakDBFS)
		}
	}
	return headroom, zone
}

// ZoneOf is the zone of the held peak where there is a hold: it stays long
// enough to be read.
func ZoneOf(d *desk.Desk, hold, peak float64) camera.Zone {
	if Holds(d) {
		peak = max(hold, peak)
	}
	return d.Settings.View.Camera.Zone(peak)
}

func worse(a, b camera.Zone) bool {
	rank := func(z camera.Zone) int {
		switch z {
		case camera.Target:
			return 1
		case camera.Hot:
			return 2
		case camera.Over:
			return 3
		}
		return 0
	}
	return rank(a) > rank(b)
}

// drawCameraFigures writes a row for each channel and one for the headroom.
func drawCameraFigures(f *widget.Frame, right canvas.Rect, d *desk.Desk) {
	for c := range d.Reading.Channels {
		l := d.Slow.Camera[c]
		x := LevelFigures(f, right.Row(c), l.PeakDBFS, l.HoldDBFS, d)
		ZoneWord(f, canvas.Rect{X: x + 1, Y: right.Y + c, W: right.X + right.W - x - 1, H: 1}, ZoneOf(d, l.HoldDBFS, l.PeakDBFS))
	}
	headroom, _ := least(d)
	row := right.Row(right.H - 1)
	x := f.TextIn(row, format.PadLeft(format.Figure(headroom), 6), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dB headroom", f.Style(theme.Ink))
	volumeChip(f, row.Skip(x+1-row.X), d)
}

func ZoneWord(f *widget.Frame, at canvas.Rect, z camera.Zone) {
	color, _ := f.Zone(z)
	f.TextIn(at, zoneChip(z), f.Chip(color))
}

func zoneChip(z camera.Zone) string {
	switch z {
	case camera.Target:
		return " TARGET "
	case camera.Hot:
		return " HOT    "
	case camera.Over:
		return " OVER   "
	}
	return " LOW    "
}

// drawCameraWide has room for the headroom in large figures.
func drawCameraWide(f *widget.Frame, right canvas.Rect, d *desk.Desk) {
	headroom, zone := least(d)
	x := widget.DrawBig(f, right.X+1, right.Y+right.H-3, format.Figure(headroom), f.Style(theme.Ink))
	side := canvas.Rect{X: x + 1, Y: right.Y + right.H - 3, W: right.X + right.W - x - 1, H: 3}
	f.TextIn(side.Row(0), "dB", f.Strong(theme.Ink))
	x = f.TextIn(side.Row(1), "headroom", f.Style(theme.Ink))
	volumeChip(f, side.Row(1).Skip(x+1-side.X), d)
	ZoneWord(f, side.Row(2), zone)
	for c := range d.Reading.Channels {
		l := d.Slow.Camera[c]
		LevelFigures(f, right.Row(c), l.PeakDBFS, l.HoldDBFS, d)
	}
}
