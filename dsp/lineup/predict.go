package lineup

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
)

// Predictor tells what peak the camera will read for a sound: the output at
// the camera's offset, through the low cut and high cut line-up found. Their
// phase alone moves the peaks of a low voice by up to a decibel. One goroutine
// calls Process.
type Predictor struct {
	sections []filter.Biquad
	states   [][]filter.State // by channel
	peak     float64
	offsetDB float64
}

// NewPredictor prepares the prediction for interleaved frames.
func (r Result) NewPredictor(rateHz, channels int) *Predictor {
	p := &Predictor{offsetDB: float64(r.OffsetDB), states: make([][]filter.State, channels)}
	p.sections = append(filter.HighPass(filter.Cut(r.LowCut), rateHz), filter.LowPass(filter.Cut(r.HighCut), rateHz)...)
	p.offsetDB -= filter.ResponseDB(p.sections, 1000, float64(rateHz))
	for c := range p.states {
		p.states[c] = make([]filter.State, len(p.sections))
	}
	return p
}

// Process takes the next interleaved frames. Does not allocate.
func (p *Predictor) Process(block []float32) {
	for i, v := range block {
		x := float64(v)
		states := p.states[i%len(p.states)]
		for k := range p.sections {
			x = states[k].Step(&p.sections[k], x)
		}
		p.peak = max(p.peak, math.Abs(x))
	}
}

// PeakDBFS is the highest peak so far on the camera's scale, as if it never
// clipped; −Inf in silence.
func (p *Predictor) PeakDBFS() float64 { return db.FromAmplitude(p.peak) + p.offsetDB }
