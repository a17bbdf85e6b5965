package chain

import "rollready/dsp/filter"

// plan is a set of settings made ready for the audio thread. It is never
// changed once made.
type plan struct {
	settings Settings
	sections []filter.Biquad // of the high-pass, then of the low-pass
	highPass int             // number of sections of the high-pass
	warm     int             // frames in which new filters settle
	warmLow  int             // the same where only the low-pass is new
}

func newPlan(s Settings, rateHz int) *plan {
	high, low := filter.HighPass(s.HighPass, rateHz), filter.LowPass(s.LowPass, rateHz)
	p := &plan{settings: s, sections: append(high, low...), highPass: len(high)}
	p.warmLow = settling(s.LowPass, rateHz)
	p.warm = max(p.warmLow, settling(s.HighPass, rateHz))
	return p
}

// settling is how long a filter remembers: 3.5 periods of its cutoff, after
// which the slowest pole of the steepest slope, with the time constant
// Q/(π·f) and Q = 1.31, has decayed by 73 dB.
func settling(c filter.Cut, rateHz int) int {
	if !c.On() {
		return 0
	}
	return int(3.5 * float64(rateHz) / c.Hz)
}

func (p *plan) sameFilters(q *plan) bool {
	return p.settings.HighPass == q.settings.HighPass && p.settings.LowPass == q.settings.LowPass
}
