package view

import (
	"errors"
	"math"

	"rollready/dsp/chain"
	"rollready/tui/desk"
	"rollready/tui/format"
)

// LimitKnob is the limiter of the live chain. Its track shows the ceiling
// under the camera's clip point, and in the same decibels what it takes away.
type LimitKnob struct {
	Desk *desk.Desk
	Last float64 // dB under the clip point, as before it was switched off
}

// leastUnderClip is the lowest ceiling on the track.
const leastUnderClip = 20.0

// under is the ceiling in dB under the camera's clip point.
func (k *LimitKnob) under() float64 {
	l := k.Desk.Settings.Chain().Limit
	if !l.On {
		return k.Last
	}
	s := k.Desk.Camera.Scale
	return s.ClipDBFS - s.Reads(l.CeilingDBTP)
}

// to sets the ceiling, within what the chain takes.
func (k *LimitKnob) to(under float64, on bool) { k.Desk.Fail(k.try(under, on)) }

func (k *LimitKnob) try(under float64, on bool) error {
	k.Last = max(math.Round(under*10)/10, 0)
	set := k.Desk.Settings.Chain()
	set.Limit = chain.Limit{}
	if on {
		set.Limit = chain.Limit{On: true, CeilingDBTP: min(max(k.Desk.Camera.Scale.Ceiling(k.Last), -40), 0)}
	}
	return k.Desk.SetChain(set)
}

func (k *LimitKnob) toggle() { k.to(k.under(), k.off()) }

func (k *LimitKnob) off() bool { return !k.Desk.Settings.Chain().Limit.On }

func (k *LimitKnob) words() string {
	if k.off() {
		return "off"
	}
	text := format.Figure(k.under()) + " dB under clip"
	if d := k.Desk.ReducedDB; d >= 0.05 {
		text += ", takes " + format.Figure(d) + " dB"
	}
	return text
}

func (k *LimitKnob) at(a Axis) float64 {
	return (1 - min(k.under(), leastUnderClip)/leastUnderClip) * float64(a.Width()-1)
}

func (k *LimitKnob) set(a Axis, at float64) {
	under := (1 - at/float64(a.Width()-1)) * leastUnderClip
	k.to(math.Round(2*under)/2, true)
}

func (k *LimitKnob) step(n int, coarse bool) {
	size := 0.5
	if coarse {
		size = 3
	}
	k.to(k.under()-float64(n)*size, true)
}

func (k *LimitKnob) parse(text string) error {
	if text == "off" {
		return k.try(k.under(), false)
	}
	v, ok := format.ParseNumber(text)
	if v = math.Abs(v); !ok || v > 40 {
		return errors.New("type 0 to 40 dB under the clip point, like 1.5, or off")
	}
	return k.try(v, true)
}

// paint: a thick line up to the ceiling, and full where the limiter is taking
// away.
func (k *LimitKnob) paint(a Axis, cell int) rune {
	at := k.at(a)
	taken := k.Desk.ReducedDB / leastUnderClip * float64(a.Width()-1)
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
