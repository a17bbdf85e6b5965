package take

import (
	"math"
	"sync/atomic"
)

// The slate tone: 1 kHz at −20 dBFS for 0.3 s (common practice, no source),
// faded over 5 ms so that it does not click.
const (
	slateHz      = 1000.0
	slatePeak    = 0.1
	slateSeconds = 0.3
	slateFade    = 0.005
)

// slate mixes the tone into the output and remembers where it began.
type slate struct {
	tone   []float32
	next   int // audio thread only; len(tone): silent
	wanted atomic.Bool
	began  atomic.Int64 // position of its first frame, −1: none
}

func newSlate(rateHz int) *slate {
	s := &slate{tone: slateTone(rateHz)}
	s.next = len(s.tone)
	s.began.Store(-1)
	return s
}

func slateTone(rateHz int) []float32 {
	rate := float64(rateHz)
	tone := make([]float32, int(slateSeconds*rate))
	fade := slateFade * rate
	for i := range tone {
		edge := min(1, float64(i)/fade, float64(len(tone)-i)/fade)
		swell := 0.5 - 0.5*math.Cos(math.Pi*edge)
		tone[i] = float32(slatePeak * swell * math.Sin(2*math.Pi*slateHz*float64(i)/rate))
	}
	return tone
}

// mix adds the tone to frames whose first has position at, and to both stereo
// feeds made of them. Audio thread: does not allocate, lock or block.
func (s *slate) mix(out, camera, phones []float32, channels int, at int64) {
	if s.next == len(s.tone) {
		if !s.wanted.CompareAndSwap(true, false) {
			return
		}
		s.next = 0
		s.began.Store(at)
	}
	rest := s.tone[s.next:]
	add(out, channels, rest)
	add(camera, 2, rest)
	add(phones, 2, rest)
	s.next += min(len(out)/channels, len(rest))
}

func add(to []float32, channels int, tone []float32) {
	for i := 0; i < len(tone) && (i+1)*channels <= len(to); i++ {
		for c := range channels {
			to[i*channels+c] += tone[i]
		}
	}
}
