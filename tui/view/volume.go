package view

import (
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// VolumeAlarm is the same in short, for the status row of every screen; ""
// also while nothing is sent to the camera.
func VolumeAlarm(d *desk.Desk) string {
	now, was := d.ToCamera.Volume, d.Camera.LinedUpVolume
	switch {
	case !d.ToCamera.Open:
	case now.Muted:
		return "NO SOUND TO THE CAMERA  muted by the system: unmute it there"
	case !d.VolumeChanged(d.ToCamera.Device, now):
	case now.Volume.Uneven() || was.Uneven():
		return "CAMERA BALANCE  not as at line-up: set it back in the system"
	default:
		return "CAMERA VOLUME  " + format.Figure(now.Volume.LoudestDB) + " dB, at line-up " + format.Figure(was.LoudestDB) + " dB: set it back"
	}
	return ""
}

// feedAdvice says what to do where what the camera gets is not what its meter
// here shows, so that nobody is told it is safe to roll; "" where it is.
func feedAdvice(d *desk.Desk) string {
	switch {
	case !d.ToCamera.Open:
		return ""
	case d.ToCamera.Fault != "":
		return "The camera hears nothing: choose its output again in Setup."
	case d.ToCamera.Lost:
		return "The camera hears nothing: its output is lost. Check its plug."
	case d.ToCamera.Volume.Muted:
		return "The camera hears nothing: the system mutes its output. Unmute it there."
	case VolumeAlarm(d) != "":
		return "The camera meter is wrong: set the output's volume back, or line up again."
	}
	return ""
}

// volumeChip marks the camera's meter where it can't be trusted.
func volumeChip(f *widget.Frame, at canvas.Rect, d *desk.Desk) {
	text, color := " VOLUME ", theme.Hot
	if d.ToCamera.Volume.Muted {
		text, color = " MUTED ", theme.Over
	}
	if VolumeAlarm(d) != "" && at.W >= canvas.Width(text) {
		f.TextIn(at, text, f.Chip(color))
	}
}
