package match

import (
	"math"

	"rollready/dsp/resample"
)

// Frames reads one channel of a recording: it fills dst with the samples from
// a frame on, which may be negative; silence outside the recording.
type Frames func(dst []float32, from int64) error

// Waves brings a recording of any rate to WaveHz, window by window. One
// goroutine uses it.
type Waves struct {
	rateHz  int
	frames  Frames
	convert *resample.Resampler
	in, out []float32
}

// NewWaves gives the waves of a recording of so many frames per second.
func NewWaves(rateHz int, frames Frames) *Waves {
	return &Waves{rateHz: rateHz, frames: frames, convert: resample.NewBrief(rateHz, WaveHz, 1)}
}

// Window implements Sound.
func (w *Waves) Window(dst []float64, atS, ppm float64) error {
	whole, part := math.Modf(atS * float64(w.rateHz))
	if part < 0 {
		whole, part = whole-1, part+1
	}
	reach := w.convert.ReachFrames()
	need := int(float64(len(dst))*float64(w.rateHz)/WaveHz*(1+math.Abs(ppm)*1e-6)) + reach + 2
	skip := int(math.Ceil(float64(reach) * WaveHz / float64(w.rateHz)))
	step := float64(w.rateHz) / WaveHz * (1 + ppm*1e-6)
	lead := int(math.Ceil(float64(skip)*step)) + 1 // what lies before the first sample belongs to it, too
	w.in = grown(w.in, lead+need)
	if err := w.frames(w.in, int64(whole)-int64(lead)); err != nil {
		return err
	}
	// Output sample `skip` lies on the moment asked for.
	start := float64(lead) + part - float64(skip)*step
	from := math.Floor(start)
	w.convert.Begin(start-from, ppm)
	w.out = grown(w.out, skip+len(dst))
	made, _ := w.convert.Process(w.out, w.in[int(from):])
	for i := range dst {
		dst[i] = 0
		if skip+i < made {
			dst[i] = float64(w.out[skip+i])
		}
	}
	return nil
}

func grown(x []float32, n int) []float32 {
	if cap(x) < n {
		return make([]float32, n)
	}
	return x[:n]
}
