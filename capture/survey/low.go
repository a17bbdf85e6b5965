package survey

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/hum"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/spectrum"
)

// low looks for hum, rumble and wind in each channel, at a low rate.
type low struct {
	*lowrate.Decimator
	narrow []*spectrum.Welch
	ends   []*lowend.Meter
	found  *facts
}

func newLow(rateHz, channels int, found *facts) *low {
	l := &low{found: found}
	for range channels {
		l.narrow = append(l.narrow, hum.NewSpectrum(rateHz))
		l.ends = append(l.ends, lowend.New(lowrate.Rate(rateHz)))
	}
	l.Decimator = lowrate.New(rateHz, channels, func(c int, x []float64) {
		l.narrow[c].Process(x)
		l.ends[c].Process(x)
	})
	return l
}

func (l *low) process(block []float32) { l.Process(block) }

func (l *low) finish(r *Result) {
	r.Hum.LevelDBFS = figure.Figure(math.Inf(-1))
	for c, welch := range l.narrow {
		welch.Flush()
		quiet := welch.Quiet(quietShare)
		h := hum.Find(quiet)
		l.found.low = append(l.found.low, lowFacts{h, rumblePower(quiet, h), l.ends[c].GustsDB()})
		if h.Present && h.LevelDBFS > float64(r.Hum.LevelDBFS) {
			r.Hum = Hum{true, h.MainsHz, figure.Figure(h.LevelDBFS)}
		}
	}
}

const (
	quietShare     = 0.2  // of the time: between the words
	rumbleFromHz   = 10.0 // what lies under any voice
	rumbleToHz     = 70.0
	humLineWidthHz = 2.0
)

// rumblePower gives the mean square under the voice, without the hum.
func rumblePower(a spectrum.Average, h hum.Hum) float64 {
	if len(a.Power) == 0 {
		return 0
	}
	power := a.Band(rumbleFromHz, rumbleToHz)
	for _, line := range h.Lines {
		if line.Hz > rumbleFromHz && line.Hz < rumbleToHz {
			power -= a.Band(line.Hz-humLineWidthHz, line.Hz+humLineWidthHz)
		}
	}
	return max(0, power)
}
