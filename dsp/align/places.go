package align

import (
	"math"

	"rollready/dsp/lowrate"
	"rollready/dsp/resample"
)

const (
	commonHz    = 3000
	waveSeconds = 2.7 // of the first recording, compared at each place
	slackS      = 1.5 // on either side in the second: outline and drift may be off so far
	everyS      = 15.0
	maxPlaces   = 40
)

// Places are the moments, in seconds of the first recording, at which the
// waves are compared, given how much later the second one began.
func Places(first, second *Outline, laterS float64) []float64 {
	from := max(0, laterS) + slackS
	to := min(first.Seconds(), laterS+second.Seconds()) - slackS - waveSeconds
	if to < from {
		from = max(0, laterS)
		to = from
	}
	n := int(min(maxPlaces, max(1, (to-from)/everyS)))
	places := []float64{from}
	for i := 1; i <= n && to > from; i++ {
		places = append(places, from+(to-from)*float64(i)/float64(n))
	}
	return places
}

// Waves keeps the sound of one channel around given moments, at a low rate.
// One goroutine uses it.
type Waves struct {
	low     *lowrate.Decimator
	rateHz  int
	lowHz   float64
	at      int64 // low-rate samples so far
	windows []window
}

type window struct {
	from int64 // in low-rate samples; may be negative
	x    []float32
}

// NewFirst keeps what of the first recording is looked for at each place.
func NewFirst(rateHz, channels, channel int, places []float64) *Waves {
	return newWaves(rateHz, channels, channel, places, 0, waveSeconds)
}

// NewSecond keeps what of the second recording is searched for it.
func NewSecond(rateHz, channels, channel int, places []float64, laterS float64) *Waves {
	return newWaves(rateHz, channels, channel, places, -laterS-slackS, waveSeconds+2*slackS)
}

func newWaves(rateHz, channels, channel int, places []float64, shift, seconds float64) *Waves {
	w := &Waves{rateHz: rateHz, lowHz: lowrate.Rate(rateHz)}
	delay := lowrate.DelaySeconds(rateHz)
	for _, place := range places {
		w.windows = append(w.windows, window{
			from: int64(math.Round((place + shift + delay) * w.lowHz)),
			x:    make([]float32, int(seconds*w.lowHz)),
		})
	}
	w.low = lowrate.New(rateHz, channels, func(c int, x []float64) {
		if c == channel {
			w.take(x)
		}
	})
	return w
}

// Process takes interleaved frames.
func (w *Waves) Process(block []float32) { w.low.Process(block) }

func (w *Waves) take(x []float64) {
	for i := range w.windows {
		k := &w.windows[i]
		for at := max(w.at, k.from); at < min(w.at+int64(len(x)), k.from+int64(len(k.x))); at++ {
			k.x[at-k.from] = float32(x[at-w.at])
		}
	}
	w.at += int64(len(x))
}

// common brings a window to the common rate, and gives the time of its first
// sample in the recording.
func (w *Waves) common(i int) (x []float64, startS float64) {
	k := w.windows[i]
	startS = float64(k.from)/w.lowHz - lowrate.DelaySeconds(w.rateHz)
	r := resample.New(w.rateHz, commonHz*lowrate.Step(w.rateHz), 1)
	y := make([]float32, int(float64(len(k.x))*commonHz/w.lowHz))
	made, _ := r.Process(y, append(k.x[:len(k.x):len(k.x)], make([]float32, r.ReachFrames()+1)...))
	x = make([]float64, made)
	for i := range x {
		x[i] = float64(y[i])
	}
	return x, startS
}
