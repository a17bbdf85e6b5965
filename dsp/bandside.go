package dsp

import (
	"rollready/dsp/bands"
	"rollready/dsp/level"
)

// bandSide is the bands of the chosen channel with their holds.
type bandSide struct {
	meter *bands.Meter
	holds [BandCount]level.Hold
}

func newBandSide(rateHz, channels int) *bandSide {
	b := &bandSide{meter: bands.New(rateHz, channels)}
	for i := range b.holds {
		b.holds[i] = level.NewHold(0)
	}
	return b
}

// process takes one hop.
func (b *bandSide) process(hop []float32) {
	b.meter.Process(hop)
	for i := range b.holds {
		b.holds[i].Push(b.meter.TakeMaxDBFS(i))
	}
}

func (b *bandSide) read() (all [BandCount]Band) {
	for i := range all {
		now := b.meter.LevelDBFS(i)
		all[i] = Band{LevelDBFS: now, HoldDBFS: max(now, b.holds[i].DBFS())}
	}
	return all
}

// setStream starts anew on another channel or tap.
func (b *bandSide) setStream(c BandChannel) {
	b.meter.SetChannel(int(c))
	b.meter.Reset()
	b.resetHolds()
}

func (b *bandSide) setTime(t TimeWeighting) {
	if t == Slow {
		b.meter.SetWeighting(bands.Slow)
		return
	}
	b.meter.SetWeighting(bands.Fast)
}

func (b *bandSide) setHold(seconds float64) {
	for i := range b.holds {
		b.holds[i].SetSeconds(seconds)
	}
}

func (b *bandSide) resetHolds() {
	b.meter.ResetMaxima()
	for i := range b.holds {
		b.holds[i].Clear()
	}
}
