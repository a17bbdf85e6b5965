package desk

import (
	"rollready/tui/format"
)

// ToggleMute mutes the headphones or lets them be heard.
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

// StepLevel turns the headphones up or down by n steps.
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
