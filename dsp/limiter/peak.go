package limiter

import (
	"math"

	"rollready/dsp/internal/taps"
	"rollready/dsp/truepeak"
)

// The peak between two samples is looked for on an eight times finer grid: the
// odd eighths with the printed filter of ITU-R BS.1770-5 Annex 2, so that a
// meter after that standard agrees, the quarters with a longer windowed sinc,
// which errs less near half the sample rate. A peak counts by whichever filter
// gives more.

const (
	window = 24 // frames a peak is computed from
	half   = window / 2
	ahead  = half // frames it is known late
	flat   = half // frames around a peak over which the gain stands still
	beta   = 4.0  // of the Kaiser window
	group  = 16   // frames judged together
)

// fold computes a phase and its mirror image at once: with the window taken as
// sums and differences of samples equally far from its middle, the one phase
// is even + odd and the other even − odd, so the greater magnitude of the two
// is |even| + |odd|. Index 0 is the outermost pair.
type fold struct{ even, odd [half]float64 }

var (
	outer  = foldAnnex2(0)
	inner  = foldAnnex2(1)
	fourth = foldSinc(0.25)
	middle = foldSinc(0.5)
	bound  = max(outer.bound(), inner.bound(), fourth.bound(), middle.bound())
)

const inset = half - 6 // the printed filter is shorter than the window

func foldAnnex2(phase int) fold {
	var f fold
	h := truepeak.Phase(phase)
	for t := range 6 {
		a, b := h[t], h[11-t]
		f.even[inset+t], f.odd[inset+t] = (a+b)/2, (a-b)/2
	}
	return f
}

// foldSinc designs the phase that lies x frames after the window's frame
// half−1, with unity gain at 0 Hz.
func foldSinc(x float64) fold {
	var h [window]float64
	sum := 0.0
	for t := range h {
		d := float64(t-half+1) - x
		h[t] = taps.Sinc(d) * taps.Kaiser(beta, d/half)
		sum += h[t]
	}
	var f fold
	for t := range half {
		a, b := h[t]/sum, h[window-1-t]/sum
		f.even[t], f.odd[t] = (a+b)/2, (a-b)/2
	}
	return f
}

// bound is the greatest factor by which the fold can exceed its window's peak.
func (f *fold) bound() float64 {
	sum := 0.0
	for t := range half {
		sum += math.Abs(f.even[t]+f.odd[t]) + math.Abs(f.even[t]-f.odd[t])
	}
	return sum
}

// detect raises peaks[i] to the greatest magnitude of the frame x[i+half−1]
// and of the grid between it and the next, as far as it may be above the
// ceiling; what is certainly not is left out. x holds window−1 more frames
// than peaks.
func detect(peaks []float64, x []float32, ceiling float64) {
	for at := 0; at < len(peaks); at += group {
		end := min(at+group, len(peaks))
		if float64(greatest(x[at:end+window-1]))*bound > ceiling {
			between(peaks[at:end], x[at:end+window-1])
		}
	}
}

func greatest(x []float32) float32 {
	var top uint32 // magnitudes of floats order like their bits
	for _, v := range x {
		top = max(top, math.Float32bits(v)&0x7fffffff)
	}
	return math.Float32frombits(top)
}

func between(peaks []float64, x []float32) {
	for i := range peaks {
		w := (*[window]float32)(x[i:])
		var q, o, m, p, r, s float64
		for t := range inset {
			a, b := float64(w[t]), float64(w[window-1-t])
			sum, dif := a+b, a-b
			q, o, m = q+fourth.even[t]*sum, o+fourth.odd[t]*dif, m+middle.even[t]*sum
		}
		var u float64
		for t := inset; t < half; t++ {
			a, b := float64(w[t]), float64(w[window-1-t])
			sum, dif := a+b, a-b
			q, o, m = q+fourth.even[t]*sum, o+fourth.odd[t]*dif, m+middle.even[t]*sum
			p, r = p+outer.even[t]*sum, r+outer.odd[t]*dif
			s, u = s+inner.even[t]*sum, u+inner.odd[t]*dif
		}
		top := max(math.Abs(q)+math.Abs(o), math.Abs(m), math.Abs(p)+math.Abs(r), math.Abs(s)+math.Abs(u))
		peaks[i] = max(peaks[i], top, math.Abs(float64(w[half-1])))
	}
}
