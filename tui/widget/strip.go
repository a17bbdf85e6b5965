package widget

import (
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
)

// PanelStyle is bold text on a strip.
func PanelStyle() canvas.Style {
	return canvas.Style{FG: theme.Ink, BG: theme.Panel, Attr: canvas.Bold}
}

// DrawStrip writes the sentence that says what to do, with a coloured edge
// where its ground is plain.
func DrawStrip(f *Frame, area canvas.Rect, text string, style canvas.Style, edge canvas.Color) {
	f.Fill(area, ' ', style)
	if style.BG == theme.Panel {
		f.Fill(area.Left(1), '▌', canvas.Style{FG: edge, BG: theme.Panel})
	}
	line := area.Rows((area.H-1)/2, 1).Inset(2, 0)
	f.TextIn(line, format.InBrief(text, line.W), style)
}

// NoSignal hatches a meter that shows nothing true.
func NoSignal(f *Frame, bar canvas.Rect) {
	f.Fill(bar, '╱', canvas.Style{FG: theme.Rule, BG: theme.Ground})
	f.TextIn(bar.Rows((bar.H-1)/2, 1).Skip(2), " no signal ", f.Strong(theme.Ink))
}
