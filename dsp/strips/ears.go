package strips

import (
	"sync/atomic"

	"rollready/dsp/limiter"
)

// Ears is where strips are heard in the headphones, for sound that did not
// come through the Bank: the input, a comparison. Any goroutine may call it.
type Ears struct {
	newest atomic.Pointer[heard]
}

// heard are the factors at which strips are heard, by how many there are.
type heard [Max + 1][Max][2]float64

// Set changes where strips are heard.
func (e *Ears) Set(s Settings) {
	var h heard
	for count := 1; count <= Max; count++ {
		h[count] = newPlan(s.Fit(count)).phones
	}
	e.newest.Store(&h)
}

// Fold makes what brings so many strips to the two channels of the headphones.
// Set comes before.
func (e *Ears) Fold(rateHz, count int) *Fold {
	return &Fold{ears: e, rateHz: rateHz, count: count, mix: newMix(count), held: limiter.New(rateHz, 2)}
}

// Fold brings strips to two channels, and holds their sums under full scale.
// One goroutine or audio thread uses it.
type Fold struct {
	ears          *Ears
	taken         *heard
	rateHz, count int
	mix           mix
	held          *limiter.Limiter
}

// LatencyFrames is its delay: that of the limiter, where strips are summed.
func (f *Fold) LatencyFrames() int { return f.held.LatencyFrames() }

// Process fills stereo frames from interleaved frames of the strips. Audio
// thread: does not allocate, lock or block.
func (f *Fold) Process(to, from []float32) {
	if h := f.ears.newest.Load(); h != f.taken {
		for i := range f.count {
			f.mix.aim(i, h[f.count][i], f.rateHz, f.taken == nil)
		}
		f.taken = h
		f.held.SetCeiling(0, sums(&h[f.count]))
	}
	f.mix.run(to, from, f.count)
	f.held.Process(to)
}

// sums tells that several strips come together on a side: what is whole alone
// may then go over full scale.
func sums(sends *[Max][2]float64) bool {
	for side := range sends[0] {
		n := 0
		for _, to := range sends {
			if to[side] != 0 {
				n++
			}
		}
		if n > 1 {
			return true
		}
	}
	return false
}
