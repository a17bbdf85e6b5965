package monitor

import (
	tea "charm.land/bubbletea/v2"

	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// places are the areas of the monitor.
type places struct {
	advice, input, camera, loudness, bands, scale, cursor, controls canvas.Rect
	figures                                                         int // cells for figures beside the meters
}

// layout divides the screen. What must be read is there from 60 × 18 on; with
// more rows come blank ones, a taller camera meter and a taller sentence.
func layout(area canvas.Rect, channels, fed int) places {
	advice, thick, blank, air := 1, 1, 0, 0
	if area.H >= 19 {
		blank = 1
	}
	if area.H >= 30 {
		advice, thick, air = 3, max(4/fed, 1), 1
	}
	if area.H >= 50 {
		thick = max(6/fed, 1)
	}
	cursor := 1
	if blank == 1 && area.W < 108 { // what lives in a band needs a row of its own
		cursor = 2
	}
	l := places{figures: view.FigureCells(area.W)}
	l.advice = area.Cut(advice)
	if cursor == 1 || air == 1 {
		area.Cut(blank)
	}
	l.input = area.Cut(channels)
	area.Cut(air)
	l.camera = area.Cut(fed*thick + 1)
	l.loudness = area.Cut(blank)
	area.Cut(air)
	l.bands = area.Cut(max(area.H-5-cursor-air, 1))
	l.scale = area.Cut(1)
	l.cursor = area.Cut(cursor)
	area.Cut(area.H - 4)
	l.controls = area.Cut(4)
	return l
}

// drawLoudness writes the output's loudness and true peak.
func drawLoudness(f *widget.Frame, row canvas.Rect, d *desk.Desk) {
	if row.H == 0 || d.Dead() {
		return
	}
	l := d.Slow.Loudness
	peak := 0.0
	for c := range d.Slow.Channels {
		if v := d.Slow.Output[c].MaxDBTP; c == 0 || v > peak {
			peak = v
		}
	}
	names := [...]string{"loudness M", "S", "I", "true peak"}
	if row.W >= 90 {
		names = [...]string{"loudness momentary", "short-term", "integrated", "true peak"}
	}
	if row.W >= 125 {
		names[3] = "true peak, highest"
	}
	values := [...]float64{l.MomentaryLUFS, l.ShortTermLUFS, l.IntegratedLUFS, peak}
	units := [...]string{"", "", " LUFS", " dBTP"}
	x := row.X
	for i, name := range names {
		x = f.Text(x, row.Y, name, f.Style(theme.Dim))
		x = f.Text(x, row.Y, format.PadLeft(format.Figure(values[i]), 6), f.Style(theme.Ink))
		x = f.Text(x, row.Y, units[i], f.Style(theme.Dim)) + 2
	}
	drawBallistics(f, canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x - 1, H: 1}, d)
}

// drawMixed says beside loudness and true peak that they hold sound from before
// the chain was changed, and what begins them anew.
func drawMixed(f *widget.Frame, gutter canvas.Rect, d *desk.Desk) {
	if !d.Mixed || d.Dead() {
		return
	}
	text := "changed: r"
	if gutter.W >= 18 {
		text = "chain changed: r"
	}
	f.TextIn(gutter.Inset(1, 0), text, f.Strong(theme.Ink))
	f.Hit(gutter, widget.Click(func() tea.Cmd { d.ResetHolds(); return nil }))
}

// drawBallistics names how the bars move, in full where there is room.
func drawBallistics(f *widget.Frame, row canvas.Rect, d *desk.Desk) {
	name := view.BallisticWords[d.Settings.View.Ballistics]
	text := "bars " + name.Full
	if canvas.Width(text) > row.W {
		text = name.Short
	}
	f.TextRight(row, text, f.Style(theme.Dim))
}
