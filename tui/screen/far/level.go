package far

import (
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// rising are blocks filled from below by 1…8 eighths.
var rising = [...]rune{' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'}

// drawLevel draws the highest level at the camera as an upright bar, beside it
// the target window as a long block, the clip point as a short one above.
func drawLevel(f *widget.Frame, area canvas.Rect, d *desk.Desk) {
	scale := d.Settings.View.Camera
	span := widget.Span{Lo: scale.ClipDBFS - 45, Hi: scale.ClipDBFS + 3}
	marks := max(area.W/6, 2)
	bar := area.Skip(marks + 1)
	eighths := int(span.Cells(view.Worst(&d.Reading).PeakDBFS, 8*bar.H))
	if d.Dead() {
		eighths = 0
	}
	clip := span.Column(scale.ClipDBFS, bar.H)
	for i := range bar.H {
		row := area.Row(area.H - 1 - i)
		at := span.Lo + (float64(i)+0.5)*(span.Hi-span.Lo)/float64(bar.H)
		color, _ := f.Zone(scale.Zone(at))
		ground := theme.Panel
		switch window := at >= scale.TargetLowDBFS && at <= scale.TargetHighDBFS; {
		case i == clip:
			f.Fill(row.Left(marks), '█', f.Style(theme.Over))
		case window:
			ground = theme.Window
			f.Fill(row.Left(marks), '█', f.Style(theme.Target))
		}
		f.Fill(row.Skip(marks+1), rising[min(max(eighths-8*i, 0), 8)], canvas.Style{FG: color, BG: ground})
	}
}
