package survey

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/hum"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/pitch"
	"rollready/dsp/spectrum"
)

// low looks for hum, rumble, wind and the pitch of a voice in each channel, at
// a low rate.
type low struct {
	*lowrate.Decimator
	ch    []lowChannel
	found *facts
}

type lowChannel struct {
	narrow *spectrum.Welch
	end    *lowend.Meter
	pitch  *pitch.Tracker
}

// pitchSeconds is how often the pitch is looked for: enough to know whether
// someone talks, at a quarter of the cost.
const pitchSeconds = 0.04

func newLow(rateHz, channels int, found *facts) *low {
	rate := lowrate.Rate(rateHz)
	l := &low{found: found}
	for range channels {
		k := lowChannel{narrow: hum.NewSpectrum(rateHz), end: lowend.New(rate), pitch: pitch.New(rate)}
		k.pitch.Every(pitchSeconds)
		l.ch = append(l.ch, k)
	}
	l.Decimator = lowrate.New(rateHz, channels, func(c int, x []float64) {
		k := &l.ch[c]
		k.narrow.Process(x)
		k.end.Process(x)
		k.pitch.Process(x)
	})
	return l
}

func (l *low) process(block []float32) { l.Process(block) }

func (l *low) finish(r *Result) {
	r.Hum.LevelDBFS = figure.Figure(math.Inf(-1))
	for c := range l.ch {
		k := &l.ch[c]
		k.narrow.Flush()
		f := lowFacts{end: k.end, voiced: k.pitch.VoicedShare(), talked: k.pitch.Talked(), hum: hum.Find(k.narrow.Quiet(hum.QuietShare))}
		l.found.low = append(l.found.low, f)
		if h := f.hum; h.Present && h.MainsHz != hum.Buzz && h.LevelDBFS > float64(r.Hum.LevelDBFS) {
			r.Hum = Hum{true, h.MainsHz, figure.Figure(h.LevelDBFS)}
		}
	}
}

// lowFacts is what is known of the low end of a channel.
type lowFacts struct {
	hum    hum.Hum // between the words
	end    *lowend.Meter
	voiced float64 // share of the time
	talked int     // seconds
}
