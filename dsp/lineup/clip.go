package lineup

import (
	"math"

	"rollready/dsp/lineup/find"
	"rollready/dsp/lineup/sequence"
)

// recording is the clip with the time of the sequence laid over it.
type recording struct {
	rateHz   int
	channels [][]float32
	origin   float64 // frame at which the sequence begins
	perSec   float64 // frames per second of the sequence: rateHz, off by the clocks' difference
}

// newRecording splits interleaved frames into channels; what is not finite
// becomes silence.
func newRecording(frames []float32, rateHz, channels int) *recording {
	r := &recording{rateHz: rateHz, channels: make([][]float32, channels), perSec: float64(rateHz)}
	count := len(frames) / channels
	for c := range r.channels {
		r.channels[c] = make([]float32, count)
		for i := range count {
			if x := frames[i*channels+c]; x-x == 0 {
				r.channels[c][i] = x
			}
		}
	}
	return r
}

// cut gives a channel's samples between two seconds of the sequence.
func (r *recording) cut(channel int, from, to float64) []float32 {
	x := r.channels[channel]
	a := int(math.Round(r.origin + from*r.perSec))
	b := int(math.Round(r.origin + to*r.perSec))
	a = min(max(a, 0), len(x))
	return x[a:min(max(b, a), len(x))]
}

// core is a section without its first and last seconds.
func (r *recording) core(channel int, s sequence.Section, head, tail float64) []float32 {
	return r.cut(channel, s.Start+head, s.End()-tail)
}

// align lays the sequence over the clip to a fraction of a frame, from the
// rough place of the markers. Each pass uses the clock found before.
func (r *recording) align(place find.Place) {
	start, end := sequence.Find(sequence.StartMarker), sequence.Find(sequence.EndMarker)
	a, b := place.StartSeconds*float64(r.rateHz), place.EndSeconds*float64(r.rateHz)
	r.perSec = (b - a) / (end.Start - start.Start)
	for range 3 {
		a = r.refine(find.Marker(start.Kind, r.perSec), a)
		b = r.refine(find.Marker(end.Kind, r.perSec), b)
		r.perSec = (b - a) / (end.Start - start.Start)
	}
	r.origin = a - start.Start*r.perSec
}

// refine gives the place near a rough one where the marker fits best in any
// channel, by a parabola through the best fit and its neighbours.
func (r *recording) refine(marker []float64, rough float64) float64 {
	reach := r.rateHz/3000 + 2
	best, at := 0.0, rough
	for _, x := range r.channels {
		fit := make([]float64, 2*reach+1)
		top := 0
		for i := range fit {
			fit[i] = math.Abs(product(marker, x, int(rough)+i-reach))
			if fit[i] > fit[top] {
				top = i
			}
		}
		if fit[top] > best {
			best, at = fit[top], math.Floor(rough)+float64(top-reach)+vertex(fit, top)
		}
	}
	return at
}

// product is the inner product of the marker with x from a frame on.
func product(marker []float64, x []float32, from int) float64 {
	sum := 0.0
	lead := max(0, -from)
	for i := lead; i < min(len(marker), len(x)-from); i++ {
		sum += marker[i] * float64(x[from+i])
	}
	return sum
}

// vertex is the place of a parabola's top, against its middle point.
func vertex(y []float64, i int) float64 {
	if i == 0 || i == len(y)-1 {
		return 0
	}
	bend := y[i-1] - 2*y[i] + y[i+1]
	if bend == 0 {
		return 0
	}
	return 0.5 * (y[i-1] - y[i+1]) / bend
}
