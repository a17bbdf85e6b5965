package tui

import (
	"math"

	"rollready/dsp/camera"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// least gives the channel with the least headroom.
func least(d *Desk) (headroom float64, zone camera.Zone) {
	headroom, zone = math.Inf(1), camera.Low
	for c := range d.Reading.Channels {
		if l := d.Slow.Camera[c]; l.HeadroomDB < headroom {
			headroom = l.HeadroomDB
		}
	}
	for c := range d.Reading.Channels {
		if l := d.Slow.Camera[c]; worse(zoneOf(d, l.HoldDBFS, l.PeakDBFS), zone) {
			zone = zoneOf(d, l.HoldDBFS, l.PeakDBFS)
		}
	}
	return headroom, zone
}

// zoneOf is the zone of the held peak where there is a hold: it stays long
// enough to be read.
func zoneOf(d *Desk, hold, peak float64) camera.Zone {
	if holds(d) {
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
func drawCameraFigures(f *Frame, right canvas.Rect, d *Desk) {
	for c := range d.Reading.Channels {
		l := d.Slow.Camera[c]
		x := levelFigures(f, right.Row(c), l.PeakDBFS, l.HoldDBFS, d)
		zoneWord(f, canvas.Rect{X: x + 1, Y: right.Y + c, W: right.X + right.W - x - 1, H: 1}, zoneOf(d, l.HoldDBFS, l.PeakDBFS))
	}
	headroom, _ := least(d)
	row := right.Row(right.H - 1)
	x := f.TextIn(row, padLeft(figure(headroom), 6), f.Strong(theme.Ink))
	x = f.Text(x, row.Y, " dB headroom", f.Style(theme.Ink))
	volumeChip(f, row.Skip(x+1-row.X), d)
}

func zoneWord(f *Frame, at canvas.Rect, z camera.Zone) {
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
func drawCameraWide(f *Frame, right canvas.Rect, d *Desk) {
	headroom, zone := least(d)
	x := drawBig(f, right.X+1, right.Y+right.H-3, figure(headroom), f.Style(theme.Ink))
	side := canvas.Rect{X: x + 1, Y: right.Y + right.H - 3, W: right.X + right.W - x - 1, H: 3}
	f.TextIn(side.Row(0), "dB", f.Strong(theme.Ink))
	x = f.TextIn(side.Row(1), "headroom", f.Style(theme.Ink))
	volumeChip(f, side.Row(1).Skip(x+1-side.X), d)
	zoneWord(f, side.Row(2), zone)
	for c := range d.Reading.Channels {
		l := d.Slow.Camera[c]
		levelFigures(f, right.Row(c), l.PeakDBFS, l.HoldDBFS, d)
	}
}

// strokes are figures of 3 × 5 dots, a row in three bits, from the top.
var strokes = map[rune][5]uint8{
	'0': {7, 5, 5, 5, 7}, '1': {2, 6, 2, 2, 7}, '2': {7, 1, 7, 4, 7}, '3': {7, 1, 3, 1, 7}, '4': {5, 5, 7, 1, 1},
	'5': {7, 4, 7, 1, 7}, '6': {7, 4, 7, 5, 7}, '7': {7, 1, 2, 2, 2}, '8': {7, 5, 7, 5, 7}, '9': {7, 5, 7, 1, 7},
	'−': {0, 0, 7, 0, 0}, '–': {0, 0, 7, 0, 0},
}

// drawBig writes a figure three rows high and gives the x after it.
func drawBig(f *Frame, x, y int, text string, s canvas.Style) int {
	for _, r := range text {
		dots, ok := strokes[r]
		switch {
		case r == '.':
			f.Set(x, y+2, '▀', s)
			x += 2
			continue
		case !ok:
			f.Set(x+1, y+1, r, s.With(canvas.Bold))
			x += 4
			continue
		}
		for col := range 3 {
			bit := uint8(4) >> col
			for row := range 3 {
				up := dots[2*row]&bit != 0
				down := row < 2 && dots[2*row+1]&bit != 0
				f.Set(x+col, y+row, half(up, down), s)
			}
		}
		x += 4
	}
	return x
}

func half(up, down bool) rune {
	switch {
	case up && down:
		return '█'
	case up:
		return '▀'
	case down:
		return '▄'
	}
	return ' '
}
