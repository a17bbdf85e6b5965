package tui

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/mixer"
	"rollready/capture/rig"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// volumeWords say what the sound system does to an output.
func volumeWords(s mixer.Setting) string {
	switch v := s.Volume; {
	case s.Muted:
		return "MUTED"
	case !v.Known:
		return "unknown"
	case v.Uneven():
		return figure(v.LoudestDB) + "/" + figure(v.QuietestDB) + " dB"
	default:
		return figure(v.LoudestDB) + " dB"
	}
}

// volumeAlarm is the same in short, for the status row of every screen; ""
// also while nothing is sent to the camera.
func volumeAlarm(d *Desk) string {
	now, was := d.ToCamera.Volume, d.Camera.LinedUpVolume
	switch {
	case !d.ToCamera.Open:
	case now.Muted:
		return "NO SOUND TO THE CAMERA  muted by the system: unmute it there"
	case !d.VolumeChanged(d.ToCamera.Device, now):
	case now.Volume.Uneven() || was.Uneven():
		return "CAMERA BALANCE  not as at line-up: set it back in the system"
	default:
		return "CAMERA VOLUME  " + figure(now.Volume.LoudestDB) + " dB, at line-up " + figure(was.LoudestDB) + " dB: set it back"
	}
	return ""
}

// feedAdvice says what to do where what the camera gets is not what its meter
// here shows, so that nobody is told it is safe to roll; "" where it is.
func feedAdvice(d *Desk) string {
	switch {
	case !d.ToCamera.Open:
		return ""
	case d.ToCamera.Fault != "":
		return "The camera hears nothing: choose its output again in Setup."
	case d.ToCamera.Lost:
		return "The camera hears nothing: its output is lost. Check its plug."
	case d.ToCamera.Volume.Muted:
		return "The camera hears nothing: the system mutes its output. Unmute it there."
	case volumeAlarm(d) != "":
		return "The camera meter is wrong: set the output's volume back, or line up again."
	}
	return ""
}

// volumeChip marks the camera's meter where it can't be trusted.
func volumeChip(f *Frame, at canvas.Rect, d *Desk) {
	text, color := " VOLUME ", theme.Hot
	if d.ToCamera.Volume.Muted {
		text, color = " MUTED ", theme.Over
	}
	if volumeAlarm(d) != "" && at.W >= canvas.Width(text) {
		f.TextIn(at, text, f.Chip(color))
	}
}

// drawBalance warns of a balance that is turned, and gives the rows it takes.
func (l *lineUp) drawBalance(f *Frame, area canvas.Rect) int {
	v := l.desk.Rig.LineVolume().Volume
	if !v.Uneven() {
		return 0
	}
	return l.drawWrapped(f, area, theme.Hot, "The system's balance is turned, its channels are at "+rig.HeightWords(v)+": set it to the middle first.") + 1
}

func (l *lineUp) volumeHelp() tea.Cmd {
	l.desk.Say("Set it in the system before you read the tone: the line-up holds for it")
	return nil
}
