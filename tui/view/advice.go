package view

import (
	"rollready/capture"
	"rollready/dsp/advice"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// DrawAdvice writes the one sentence that says what to do.
func DrawAdvice(f *widget.Frame, area canvas.Rect, d *desk.Desk) {
	text, style := d.Advice.Text, widget.PanelStyle()
	edge := theme.Rule
	switch {
	case d.Status.Fault != "":
		text, style = "METERING STOPPED: choose the input again in Setup.", f.Chip(theme.Over)
	case d.Status.Lost:
		text, style = "INPUT LOST: check its cable and power. It is taken up again by itself.", f.Chip(theme.Over)
	case d.Advice.Severity == advice.Stop:
		style = f.Chip(theme.Over)
	case feedAdvice(d) != "":
		text, style = feedAdvice(d), f.Chip(theme.Hot)
	case d.Advice.Severity == advice.Caution:
		style = f.Chip(theme.Hot)
	case d.Advice.Severity == advice.Good && d.Status.Kind == capture.Demo:
		text = "In this demo speech sits in the target window."
	case d.Advice.Severity == advice.Good && d.Checked != nil && d.Checked.Verdict == verdict.NotReady:
		text, style = "Level is right, but the check said NOT READY: see Check.", f.Chip(theme.Hot)
	case d.Advice.Severity == advice.Good:
		edge = theme.Target
	}
	widget.DrawStrip(f, area, text, style, edge)
}
