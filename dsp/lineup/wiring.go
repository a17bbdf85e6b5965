package lineup

import (
	"math"
	"strings"

	"rollready/dsp/db"
	"rollready/dsp/lineup/find"
	"rollready/dsp/lineup/sequence"
)

// apartDB is how much fainter the other side must be to count as crosstalk.
const apartDB = 12.0

// carries tells from the ident which sides a channel carries.
func (r *recording) carries(channel int) Side {
	left := r.ident(channel, sequence.IdentLeft)
	right := r.ident(channel, sequence.IdentRight)
	noise := max(left.noise, right.noise)
	hasLeft := left.amplitude > 4*noise && left.amplitude > right.amplitude*db.ToAmplitude(-apartDB)
	hasRight := right.amplitude > 4*noise && right.amplitude > left.amplitude*db.ToAmplitude(-apartDB)
	switch {
	case hasLeft && hasRight:
		return Both
	case hasLeft:
		return Left
	case hasRight:
		return Right
	}
	return Nothing
}

func (r *recording) ident(channel int, kind sequence.Kind) reading {
	var p probe
	return p.read(r.core(channel, sequence.Find(kind), 0.05, 0.02), sequence.ToneHz/r.perSec)
}

// wiring words the channels' sides together.
func wiring(channels []Channel) Wiring {
	word := ""
	for _, c := range channels {
		word += string(c.Carries[0])
	}
	if len(word) > 2 { // tracks beyond a pair that carry nothing
		word = word[:2] + strings.TrimRight(word[2:], "n")
	}
	switch word {
	case "lr":
		return Straight
	case "rl":
		return Swapped
	case "l", "ln", "ll", "nl":
		return LeftOnly
	case "r", "rn", "rr", "nr":
		return RightOnly
	case "b", "bb", "bn", "nb":
		return Summed
	}
	return Odd
}

// polarity compares with what was sent: the pulses or, where they would be
// clipped out of shape, the markers, whose shape survives that.
func (r *recording) polarity(channel int, clipDBFS float64) Polarity {
	likeness := r.pulses
	if clipDBFS < sequence.PulseDBFS {
		likeness = r.markers
	}
	if likeness(channel) < 0 {
		return Inverted
	}
	return Normal
}

// pulses gives the product of the clip with all pulses, wherever it is
// greatest within 1 ms: the camera's own filters shift them.
func (r *recording) pulses(channel int) float64 {
	s := sequence.Find(sequence.Pulses)
	pulse := make([]float64, int(sequence.PulseSeconds*r.perSec))
	for i := range pulse {
		pulse[i] = sequence.Pulse(float64(i) / r.perSec)
	}
	return r.extreme(0.001, func(lag float64) (sum float64) {
		for k := range sequence.PulseCount {
			at := s.Start + float64(k)*sequence.PulseEvery
			sum += product(pulse, r.channels[channel], int(math.Round(r.origin+at*r.perSec+lag)))
		}
		return sum
	})
}

// markers gives the product of the clip with the start marker, wherever it is
// greatest within a quarter of a millisecond.
func (r *recording) markers(channel int) float64 {
	marker := find.Marker(sequence.StartMarker, r.perSec)
	begin := r.origin + sequence.Find(sequence.StartMarker).Start*r.perSec
	return r.extreme(0.00025, func(lag float64) float64 {
		return product(marker, r.channels[channel], int(math.Round(begin+lag)))
	})
}

// extreme gives the value furthest from 0 over lags in frames up to reach
// seconds to either side.
func (r *recording) extreme(reach float64, value func(lag float64) float64) float64 {
	best := 0.0
	for lag := -math.Ceil(reach * r.perSec); lag <= reach*r.perSec; lag++ {
		if v := value(lag); math.Abs(v) > math.Abs(best) {
			best = v
		}
	}
	return best
}
