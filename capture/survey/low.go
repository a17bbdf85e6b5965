package survey

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/hum"
	"rollready/dsp/rack"
)

// low looks for hum, rumble, wind and the pitch of a voice in each channel, at
// a low rate.
type low struct{ *rack.Low }

// pitchSeconds is how often the pitch is looked for: enough to know whether
// someone talks, at a quarter of the cost.
const pitchSeconds = 0.04

func newLow(rateHz, channels int, found *facts) low {
	found.low = rack.NewLow(rateHz, channels, pitchSeconds)
	return low{found.low}
}

func (l low) process(block []float32) { l.Process(block) }

func (l low) finish(r *Result) {
	r.Hum.LevelDBFS = figure.Figure(math.Inf(-1))
	l.Finish(hum.QuietShare)
	for _, k := range l.Channels {
		if h := k.Hum; h.Present && h.MainsHz != hum.Buzz && h.LevelDBFS > float64(r.Hum.LevelDBFS) {
			r.Hum = Hum{true, h.MainsHz, figure.Figure(h.LevelDBFS)}
		}
	}
}
