package desk

import (
	"rollready/tui/format"
)

// SoundKey answers the keys of the headphones, which mean the same on every
// screen.
func (d *Desk) SoundKey(key string) {
	switch key {
	case "0":
		d.ToggleMute()
	case ",":
		d.StepLevel(-1)
	case ".":
		d.StepLevel(1)
	}
}

func (d *Desk) ToggleMute() {
	muted, err := d.Rig.ToggleMute()
	d.Refresh()
	switch {
	case err != nil:
		d.Fail(err)
	case muted:
		d.Say("Headphones muted; 0 lets them be heard")
	default:
		d.Say("Headphones fade in; , softer, . louder. Loud sound harms hearing: go up slowly")
	}
}

func (d *Desk) StepLevel(n int) {
	to, muted, err := d.Rig.StepLevel(n)
	d.Refresh()
	text := "Headphones at " + format.FigureInt(int(to)) + " dB"
	if muted {
		text += ", muted: 0 lets them be heard"
	}
	d.Say(text)
	d.Fail(err)
}
