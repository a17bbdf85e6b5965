package chain

import "math"

// fadeSeconds is the length of the crossfade between two sets of filters.
const fadeSeconds = 0.02

// change is the way from the heard path to the incoming one.
type change struct {
	running bool
	warm    int       // frames still to run unheard
	at      int       // frame of the crossfade
	fade    []float64 // share of the incoming path at each frame
}

// fadeCurve is half a cosine, which starts and ends without a corner.
func fadeCurve(rateHz int) []float64 {
	curve := make([]float64, int(fadeSeconds*float64(rateHz)))
	for i := range curve {
		curve[i] = 0.5 - 0.5*math.Cos(math.Pi*float64(i+1)/float64(len(curve)+1))
	}
	return curve
}

func (c *change) begin(warm int) { c.running, c.warm, c.at = true, warm, 0 }

// blend mixes the incoming frames into the heard ones as far as the change
// has come. Once it is through, the rest of heard is incoming, bit by bit.
func (c *change) blend(heard, incoming []float64, channels int) {
	skip := min(c.warm, len(heard)/channels)
	c.warm -= skip
	for i := skip * channels; i < len(heard); i += channels {
		if c.at == len(c.fade) {
			copy(heard[i:], incoming[i:])
			c.running = false
			return
		}
		share := c.fade[c.at]
		c.at++
		for k := i; k < i+channels; k++ {
			heard[k] += share * (incoming[k] - heard[k])
		}
	}
}
