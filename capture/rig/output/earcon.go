package output

import (
	"math/bits"
	"sync/atomic"

	"rollready/dsp/earcon"
)

// Earcon plays a short sound in the headphones, over what is heard there, at
// their level; where they are muted it is not heard. Of several the weightiest
// comes first. On the way to the camera it does nothing.
func (w *Way) Earcon(k earcon.Kind) {
	if !w.options.Camera {
		w.asked.Or(1 << k)
	}
}

// player adds earcons to what a device is given. The audio thread's own; the
// zero player has none.
type player struct {
	asked  *atomic.Uint32
	sounds [earcon.Count][]float32 // at the device's rate
	rest   []float32               // of the one that sounds
}

func newPlayer(asked *atomic.Uint32, rateHz int) (p player) {
	p.asked = asked
	for k := range p.sounds {
		p.sounds[k] = earcon.Sound(earcon.Kind(k), rateHz)
	}
	return p
}

// mix adds what sounds to a block of the device, on all its channels.
func (p *player) mix(block []float32, channels int) {
	if p.asked == nil {
		return
	}
	for i := 0; i+channels <= len(block); i += channels {
		if len(p.rest) == 0 && !p.next() {
			return
		}
		for c := i; c < i+channels; c++ {
			block[c] += p.rest[0]
		}
		p.rest = p.rest[1:]
	}
}

// next begins the weightiest that is asked for, if there is one.
func (p *player) next() bool {
	asked := p.asked.Load()
	if asked == 0 {
		return false
	}
	k := bits.TrailingZeros32(asked)
	p.asked.And(^uint32(1 << k))
	p.rest = p.sounds[k]
	return true
}
