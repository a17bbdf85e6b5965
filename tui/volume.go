package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture/mixer"
	"rollready/presets"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// The camera's line-up holds for one volume of its output: what the sound
// system turns down, the camera no longer gets, and its meter here lies.

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

// heightWords say in a sentence at which volume something is.
func heightWords(v presets.Volume) string {
	switch {
	case !v.Known:
		return "an unknown volume"
	case v.Uneven():
		return figure(v.LoudestDB) + " and " + figure(v.QuietestDB) + " dB"
	}
	return figure(v.LoudestDB) + " dB"
}

func mutedWords(output string) string {
	return "The system mutes " + output + ": unmute it there, or the camera hears nothing."
}

// feed gives the name of the output that feeds the camera and what the sound
// system does to it. While nothing of ours plays there, our own stream's part
// is not known and taken as none.
func (d *Desk) feed() (string, mixer.Setting) {
	if d.hasCamera {
		return d.toCamera.Device, d.toCamera.Volume
	}
	for _, o := range d.outputs {
		if o.Name == d.sendsTo {
			return o.Name, d.opt.Line.Volume(o.Choice)
		}
	}
	return "", mixer.Setting{}
}

// volumeChanged tells that an output is no longer as loud as at line-up;
// false where it is unknown, or was lined up over another.
func (d *Desk) volumeChanged(output string, now mixer.Setting) bool {
	return output == d.Camera.LinedUpWith && now.Volume.Differs(d.Camera.LinedUpVolume)
}

// volumeTrouble says in a sentence what the sound system does to the camera's
// feed that makes its meter here wrong, and what to do; "" if nothing.
func (d *Desk) volumeTrouble() string {
	output, now := d.feed()
	switch {
	case now.Muted:
		return mutedWords(output)
	case d.volumeChanged(output, now):
		return output + " is at " + heightWords(now.Volume) + ", at line-up at " + heightWords(d.Camera.LinedUpVolume) +
			": set its volume back or line up again."
	}
	return ""
}

// volumeAlarm is the same in short, for the status row of every screen; ""
// also while nothing is sent to the camera.
func volumeAlarm(d *Desk) string {
	now, was := d.toCamera.Volume, d.Camera.LinedUpVolume
	switch {
	case !d.hasCamera:
	case now.Muted:
		return "NO SOUND TO THE CAMERA  muted by the system: unmute it there"
	case !d.volumeChanged(d.toCamera.Device, now):
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
	case !d.hasCamera:
		return ""
	case d.toCamera.Fault != "":
		return "The camera hears nothing: choose its output again in Setup."
	case d.toCamera.Lost:
		return "The camera hears nothing: its output is lost. Check its plug."
	case d.toCamera.Volume.Muted:
		return "The camera hears nothing: the system mutes its output. Unmute it there."
	case volumeAlarm(d) != "":
		return "The camera meter is wrong: set the output's volume back, or line up again."
	}
	return ""
}

// volumeChip marks the camera's meter where it can't be trusted.
func volumeChip(f *Frame, at canvas.Rect, d *Desk) {
	text, color := " VOLUME ", theme.Hot
	if d.toCamera.Volume.Muted {
		text, color = " MUTED ", theme.Over
	}
	if volumeAlarm(d) != "" && at.W >= canvas.Width(text) {
		f.TextIn(at, text, f.Chip(color))
	}
}

// volume is that of the line-up's output, with our own sound's while it sounds.
func (l *lineUp) volume() mixer.Setting {
	if s := l.line.State(); s.Sounds != Quiet {
		return s.Volume
	}
	return l.line.Volume(l.output().Choice)
}

// drawBalance warns of a balance that is turned, and gives the rows it takes.
func (l *lineUp) drawBalance(f *Frame, area canvas.Rect) int {
	v := l.volume().Volume
	if !v.Uneven() {
		return 0
	}
	return l.drawWrapped(f, area, theme.Hot, "The system's balance is turned, its channels are at "+heightWords(v)+": set it to the middle first.") + 1
}

func (l *lineUp) volumeHelp() tea.Cmd {
	l.desk.Say("Set it in the system before you read the tone: the line-up holds for it")
	return nil
}
