package tui

import (
	"errors"
	"math"

	"rollready/dsp/chain"
)

// limitKnob is the limiter of the live chain. Its track shows the ceiling
// under the camera's clip point, and in the same decibels what it takes away.
type limitKnob struct {
	desk *Desk
	last float64 // dB under the clip point, as before it was switched off
}

// leastUnderClip is the lowest ceiling on the track.
const leastUnderClip = 20.0

// under is the ceiling in dB under the camera's clip point.
func (k *limitKnob) under() float64 {
	l := k.desk.Settings.Chain.Limit
	if !l.On {
		return k.last
	}
	s := k.desk.Camera.Scale
	return s.ClipDBFS - s.Reads(l.CeilingDBTP)
}

// to sets the ceiling, within what the chain takes.
func (k *limitKnob) to(under float64, on bool) {
	k.last = max(math.Round(under*10)/10, 0)
	set := k.desk.Settings.Chain
	set.Limit = chain.Limit{}
	if on {
		set.Limit = chain.Limit{On: true, CeilingDBTP: min(max(k.desk.Camera.Scale.Ceiling(k.last), -40), 0)}
	}
	k.desk.SetChain(set)
}

func (k *limitKnob) toggle() { k.to(k.under(), k.off()) }

func (k *limitKnob) off() bool { return !k.desk.Settings.Chain.Limit.On }

func (k *limitKnob) words() string {
	if k.off() {
		return "off"
	}
	text := figure(k.under()) + " dB under clip"
	if d := k.desk.reducedDB; d >= 0.05 {
		text += ", takes " + figure(d) + " dB"
	}
	return text
}

func (k *limitKnob) at(a axis) float64 {
	return (1 - min(k.under(), leastUnderClip)/leastUnderClip) * float64(a.width()-1)
}

func (k *limitKnob) set(a axis, at float64) {
	under := (1 - at/float64(a.width()-1)) * leastUnderClip
	k.to(math.Round(2*under)/2, true)
}

func (k *limitKnob) step(n int, coarse bool) {
	size := 0.5
	if coarse {
		size = 3
	}
	k.to(k.under()-float64(n)*size, true)
}

func (k *limitKnob) parse(text string) error {
	if text == "off" {
		k.to(k.under(), false)
		return nil
	}
	v, ok := parseNumber(text)
	if v = math.Abs(v); !ok || v > 40 {
		return errors.New("type 0 to 40 dB under the clip point, like 1.5, or off")
	}
	k.to(v, true)
	return nil
}

// paint: a thick line up to the ceiling, and full where the limiter is taking
// away.
func (k *limitKnob) paint(a axis, cell int) rune {
	at := k.at(a)
	taken := k.desk.reducedDB / leastUnderClip * float64(a.width()-1)
	switch {
	case k.off():
		return '─'
	case float64(cell) >= at:
		return '┈'
	case taken >= 0.5 && float64(cell) >= at-taken:
		return '█'
	}
	return '━'
}
