package tui

// soundKey answers the keys of the headphones, which mean the same on every
// screen.
func (d *Desk) soundKey(key string) {
	switch key {
	case "0":
		d.toggleMute()
	case ",":
		d.stepLevel(-1)
	case ".":
		d.stepLevel(1)
	}
}

func (d *Desk) toggleMute() {
	muted, err := d.Rig.ToggleMute()
	d.refresh()
	switch {
	case err != nil:
		d.Fail(err)
	case muted:
		d.Say("Headphones muted; 0 lets them be heard")
	default:
		d.Say("Headphones fade in; , softer, . louder. Loud sound harms hearing: go up slowly")
	}
}

func (d *Desk) stepLevel(n int) {
	to, muted, err := d.Rig.StepLevel(n)
	d.refresh()
	text := "Headphones at " + figureInt(int(to)) + " dB"
	if muted {
		text += ", muted: 0 lets them be heard"
	}
	d.Say(text)
	d.Fail(err)
}
