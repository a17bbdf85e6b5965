package strips

import "sync/atomic"

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
	return &Fold{ears: e, rateHz: rateHz, count: count, mix: newMix(count)}
}

// Fold brings strips to two channels. One goroutine or audio thread uses it.
type Fold struct {
	ears          *Ears
	taken         *heard
	rateHz, count int
	mix           mix
}

// Process fills stereo frames from interleaved frames of the strips. Audio
// thread: does not allocate, lock or block.
func (f *Fold) Process(to, from []float32) {
	if h := f.ears.newest.Load(); h != f.taken {
		for i := range f.count {
			f.mix.aim(i, h[f.count][i], f.rateHz, f.taken == nil)
		}
		f.taken = h
	}
	f.mix.run(to, from, f.count)
}
