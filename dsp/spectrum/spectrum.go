// Package spectrum is the narrow-band power spectrum of a signal, averaged
// over time (Welch), with the quiet moments kept apart from the loud ones.
package spectrum

import (
	"math"

	"github.com/mjibson/go-dsp/window"

	"rollready/dsp/db"
	"rollready/dsp/internal/fft"
)

const (
	classes   = 40 // of loudness a frame can fall into
	classStep = 3  // dB
)

// Welch averages the spectra of half-overlapping Hann-windowed pieces of one
// channel. Memory is flat with time.
type Welch struct {
	rateHz float64
	size   int
	bins   int // kept
	window []float64
	piece  []float64 // being filled
	work   []float64
	fft    *fft.Real
	values []complex128 // the kept bins
	class  [classes]*Average
}

// Average is the mean of a number of spectra. A sine's mean square is the sum
// of the bins of its peak; a noise's that of its bins.
type Average struct {
	BinHz  float64
	Pieces int
	Power  []float64 // mean square per bin
	Steady []float64 // per bin: geometric over arithmetic mean, 1 for a level that never moves
}

// New makes a Welch of so many samples per piece, a power of two, that keeps
// the bins up to topHz.
func New(rateHz float64, size int, topHz float64) *Welch {
	bins := min(size/2, int(topHz/rateHz*float64(size))+1)
	return &Welch{rateHz: rateHz, size: size, bins: bins, fft: fft.NewReal(size), values: make([]complex128, bins),
		window: window.Hann(size + 1)[:size], // without the last: periodic
		piece:  make([]float64, 0, size), work: make([]float64, size)}
}

// Process takes samples. It allocates only for the first piece of each
// loudness.
func (w *Welch) Process(x []float64) {
	for len(x) > 0 {
		n := min(len(x), w.size-len(w.piece))
		w.piece = append(w.piece, x[:n]...)
		if x = x[n:]; len(w.piece) == w.size {
			w.transform(w.window)
			w.piece = w.piece[:copy(w.piece, w.piece[w.size/2:])]
		}
	}
}

// Flush makes a piece of what is left if there was no whole one: a short
// signal then has a spectrum too, of coarser resolution.
func (w *Welch) Flush() {
	n := len(w.piece)
	if n == 0 || w.Quiet(1).Pieces > 0 {
		return
	}
	short := window.Hann(n)
	gain := math.Sqrt(float64(w.size) / float64(n))
	for i, v := range w.piece {
		w.piece[i] = v * short[i] * gain
	}
	w.piece = append(w.piece, make([]float64, w.size-n)...)
	w.transform(nil)
	w.piece = w.piece[:0]
}

// Reset forgets everything.
func (w *Welch) Reset() {
	w.piece = w.piece[:0]
	w.class = [classes]*Average{}
}

// transform counts the piece, windowed; without a window it already is.
func (w *Welch) transform(window []float64) {
	copy(w.work, w.piece)
	for i, v := range window {
		w.work[i] *= v
	}
	w.fft.Transform(w.values, w.work)
	// Half of the power of a real signal is at negative frequencies; the sum
	// of squares of a Hann window is 3/8 of its length.
	scale := 2 / (float64(w.size) * float64(w.size) * 0.375)
	total := 0.0
	power := w.work[:w.bins]
	for i, v := range w.values {
		power[i] = scale * (real(v)*real(v) + imag(v)*imag(v))
		total += power[i]
	}
	a := w.at(total)
	a.Pieces++
	for i, p := range power {
		a.Power[i] += p
		a.Steady[i] += math.Log(p + 1e-30)
	}
}

// at gives the class of pieces of a total power; its sums are not yet means.
func (w *Welch) at(total float64) *Average {
	class := int(max(0, min(classes+db.FromPower(total)/classStep, classes-1)))
	if w.class[class] == nil {
		w.class[class] = w.empty()
	}
	return w.class[class]
}

func (w *Welch) empty() *Average {
	return &Average{BinHz: w.rateHz / float64(w.size), Power: make([]float64, w.bins), Steady: make([]float64, w.bins)}
}

// Quiet gives the average of the quietest pieces: of so many as make up a
// share of all, rounded up to whole 3 dB classes. Quiet(1) takes all.
func (w *Welch) Quiet(share float64) Average {
	all := 0
	for _, c := range w.class {
		if c != nil {
			all += c.Pieces
		}
	}
	sum := w.empty()
	for _, c := range w.class {
		if c != nil && float64(sum.Pieces) < share*float64(all) {
			sum.add(c)
		}
	}
	n := float64(max(1, sum.Pieces))
	for i := range sum.Power {
		sum.Power[i] /= n
		sum.Steady[i] = math.Exp(sum.Steady[i]/n) / (sum.Power[i] + 1e-30)
	}
	return *sum
}

func (a *Average) add(c *Average) {
	a.Pieces += c.Pieces
	for i := range a.Power {
		a.Power[i] += c.Power[i]
		a.Steady[i] += c.Steady[i]
	}
}

// Band gives the mean square between two frequencies.
func (a Average) Band(lowHz, highHz float64) float64 {
	sum := 0.0
	for i := a.Bin(lowHz); i <= a.Bin(highHz); i++ {
		sum += a.Power[i]
	}
	return sum
}

// Bin gives the bin nearest to a frequency, within what is kept.
func (a Average) Bin(hz float64) int {
	return int(max(0, min(math.Round(hz/a.BinHz), float64(len(a.Power)-1))))
}

// PeakHz refines the frequency of a local maximum at a bin by a parabola
// through the levels of its neighbours.
func (a Average) PeakHz(bin int) float64 {
	if bin <= 0 || bin >= len(a.Power)-1 {
		return float64(bin) * a.BinHz
	}
	l, m, r := math.Log(a.Power[bin-1]+1e-30), math.Log(a.Power[bin]+1e-30), math.Log(a.Power[bin+1]+1e-30)
	shift := 0.0
	if bend := l - 2*m + r; bend < 0 {
		shift = max(-0.5, min((l-r)/2/bend, 0.5))
	}
	return (float64(bin) + shift) * a.BinHz
}
