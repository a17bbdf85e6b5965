package view

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/tui/format"
	"rollready/tui/widget"
)

// chainHolder is what a knob turns at: the live chain, or a side of the
// comparison.
type chainHolder interface {
	Chain() chain.Settings
	SetChain(chain.Settings) error // must pass Check
	Fail(error)
}

// GainKnob is the chain's gain.
type GainKnob struct{ Of chainHolder }

const gainSpan = chain.MaxGainDB - chain.MinGainDB

func (k GainKnob) gain() float64 { return k.Of.Chain().GainDB }

func (k GainKnob) to(v float64) {
	s := k.Of.Chain()
	s.GainDB = min(max(math.Round(v*10)/10, chain.MinGainDB), chain.MaxGainDB)
	k.Of.Fail(k.Of.SetChain(s))
}

func (k GainKnob) off() bool { return false }

func (k GainKnob) words() string { return format.Signed(k.gain()) + " dB" }

func (k GainKnob) at(a Axis) float64 {
	return (k.gain() - chain.MinGainDB) / gainSpan * float64(a.Width()-1)
}

func (k GainKnob) set(a Axis, at float64) {
	k.to(math.Round(2*(at/float64(a.Width()-1)*gainSpan+chain.MinGainDB)) / 2)
}

func (k GainKnob) step(n int, coarse bool) {
	size := 0.5
	if coarse {
		size = 3
	}
	k.to(k.gain() + float64(n)*size)
}

func (k GainKnob) parse(text string) error {
	v, ok := format.ParseNumber(text)
	s := k.Of.Chain()
	s.GainDB = v
	if !ok {
		return errors.New("not a number: type it like −6 or +3.5")
	}
	if err := s.Check(); err != nil {
		return err
	}
	return k.Of.SetChain(s)
}

// paint: a thick line between 0 dB and the setting.
func (k GainKnob) paint(a Axis, cell int) rune {
	zero := int(-chain.MinGainDB / gainSpan * float64(a.Width()-1))
	at := int(k.at(a))
	switch {
	case cell == zero:
		return '┼'
	case cell > min(at, zero) && cell < max(at, zero):
		return '━'
	}
	return '─'
}

// CutKnob is the high-pass or the low-pass.
type CutKnob struct {
	Of      chainHolder
	LowPass bool
	Last    filter.Cut // as it was before it was switched off
}

func (k *CutKnob) cut() filter.Cut {
	if k.LowPass {
		return k.Of.Chain().LowPass
	}
	return k.Of.Chain().HighPass
}

func (k *CutKnob) to(c filter.Cut) { k.Of.Fail(k.try(c)) }

func (k *CutKnob) try(c filter.Cut) error {
	if old := k.cut(); old.On() {
		k.Last = old
	}
	if !c.On() {
		c = filter.Cut{}
	}
	s := k.Of.Chain()
	if k.LowPass {
		s.LowPass = c
	} else {
		s.HighPass = c
	}
	if err := s.Check(); err != nil {
		return err
	}
	return k.Of.SetChain(s)
}

// stand is the cutoff, also of a filter that is off.
func (k *CutKnob) stand() filter.Cut {
	if c := k.cut(); c.On() {
		return c
	}
	return k.Last
}

func (k *CutKnob) off() bool { return !k.cut().On() }

func (k *CutKnob) words() string { return CutWords(k.cut()) }

func (k *CutKnob) at(a Axis) float64 { return a.at(k.stand().Hz) }

func (k *CutKnob) hertz(hz float64) {
	c := k.stand()
	c.Hz = min(max(round2(hz), filter.MinHz), filter.MaxHz)
	k.to(c)
}

func (k *CutKnob) set(a Axis, at float64) { k.hertz(a.Hz(at)) }

// step moves by a sixth of an octave, coarse by one.
func (k *CutKnob) step(n int, coarse bool) {
	octaves := float64(n) / 6
	if coarse {
		octaves = float64(n)
	}
	k.hertz(k.stand().Hz * math.Exp2(octaves))
}

// slope goes on to the next slope: off, 6, 12, 18, 24.
func (k *CutKnob) slope() {
	k.to(filter.Cut{Hz: k.stand().Hz, Slope: widget.Turn(filter.Slopes[:], k.cut().Slope, 1)})
}

func (k *CutKnob) parse(text string) error {
	hzText, slope, both := strings.Cut(text, "/")
	hz, ok := format.ParseNumber(hzText)
	switch {
	case ok && both:
		text = format.FigurePlain(hz) + "/" + slope
	case ok:
		text = format.FigurePlain(hz) + "/" + strconv.Itoa(k.stand().Slope)
	}
	c, err := filter.ParseCut(text)
	if err != nil {
		return err
	}
	return k.try(c)
}

// paint: a thick line over what passes.
func (k *CutKnob) paint(a Axis, cell int) rune {
	at := int(k.at(a))
	if k.off() {
		return '─'
	}
	if k.LowPass == (cell < at) {
		return '━'
	}
	return '┈'
}

// round2 keeps two significant digits: cutoffs a person would say.
func round2(hz float64) float64 {
	unit := math.Pow(10, math.Floor(math.Log10(hz))-1)
	return math.Round(hz/unit) * unit
}
