package match

import (
	"cmp"
	"math"
	"slices"

	"rollready/dsp/internal/fft"
)

const (
	pieceSteps = 60 * stepsPerSecond // a clip is looked for piece by piece: clocks may differ
	edgeSteps  = 4 * stepsPerSecond
	blockSteps = 4096
	freshSteps = blockSteps - pieceSteps // places searched in each block
	leastZ     = 3.5
	perTake    = 4 // hits kept for each piece in each recording
	apart      = 4 // steps between two hits
	leastSteps = 12
	indexFull  = 96 << 20 // bytes
)

// Index holds recordings, ready to be searched. One goroutine adds; any number
// may search afterwards, each with a Searcher of its own.
type Index struct {
	takes []indexed
	bytes int
}

type indexed struct {
	number int
	f      *features
	blocks [][bands / 2][]complex64 // transforms of their stretches
}

// Add puts a recording in, by a number of the caller's.
func (x *Index) Add(number int, p Print) {
	t := indexed{number: number, f: newFeatures(p)}
	plan, z := fft.New(blockSteps), make([]complex128, blockSteps)
	for at := -pieceSteps; at < t.f.steps; at += freshSteps {
		var block [bands / 2][]complex64
		for b := range block {
			fill(z, t.f.x[b], at)
			plan.Transform(z)
			block[b] = make([]complex64, blockSteps)
			for i, v := range z {
				block[b][i] = complex64(v)
			}
		}
		t.blocks = append(t.blocks, block)
		x.bytes += bands / 2 * blockSteps * 8
	}
	x.takes = append(x.takes, t)
}

// Full tells that the index should be searched and a new one begun, so that
// memory stays flat however many recordings there are.
func (x *Index) Full() bool { return x.bytes >= indexFull }

// fill puts the steps from at on into z, silence where there are none.
func fill(z []complex128, x []complex64, at int) {
	clear(z)
	for i := max(0, -at); i < len(z) && at+i < len(x); i++ {
		z[i] = complex128(x[at+i])
	}
}

// Hit is a place where a piece may have been recorded too.
type Hit struct {
	Take  int     // number given to Add
	Piece int     // of the clip, from 0
	LagS  float64 // when the clip began, in seconds of the take
	Z     float64 // how far it stands out
}

// Searcher looks for clips. One goroutine uses it.
type Searcher struct {
	plan     *fft.Plan
	piece    [bands / 2][]complex128
	sum      []complex128
	energies []float64
}

// NewSearcher makes a searcher.
func NewSearcher() *Searcher {
	s := &Searcher{plan: fft.New(blockSteps), sum: make([]complex128, blockSteps)}
	for b := range s.piece {
		s.piece[b] = make([]complex128, blockSteps)
	}
	return s
}

// Search gives the best hits of every piece of a clip in every recording.
func (s *Searcher) Search(x *Index, clip Print) []Hit {
	f := newFeatures(clip)
	var hits []Hit
	for number, p := range pieces(f.steps) {
		for b := range s.piece {
			clear(s.piece[b])
			for i := p.from; i < p.to; i++ {
				s.piece[b][i-p.from] = complex128(f.x[b][i])
			}
			s.plan.Transform(s.piece[b])
		}
		s.energies = f.energy[p.from : p.to+1]
		for i := range x.takes {
			for _, h := range s.inTake(&x.takes[i]) {
				h.Piece = number
				h.LagS -= float64(p.from) / stepsPerSecond
				hits = append(hits, h)
			}
		}
	}
	return hits
}

// piece is a stretch of a clip, in steps.
type piece struct{ from, to int }

// pieces cuts a clip into minutes, the last one up to the end; its first and
// its last seconds come once more, for a take that holds only these.
func pieces(steps int) []piece {
	all := []piece{{0, min(steps, pieceSteps)}}
	for at := pieceSteps; at < steps; at += pieceSteps {
		from := min(at, steps-pieceSteps)
		all = append(all, piece{from, from + pieceSteps})
	}
	if steps > 2*edgeSteps {
		all = append(all, piece{0, edgeSteps}, piece{steps - edgeSteps, steps})
	}
	return all
}

func (s *Searcher) inTake(t *indexed) []Hit {
	var best []Hit
	for n, block := range t.blocks {
		s.correlate(&block)
		s.plan.Transform(s.sum)
		s.scan(t, n*freshSteps-pieceSteps, &best)
	}
	slices.SortFunc(best, func(a, b Hit) int { return cmp.Compare(b.Z, a.Z) })
	return best[:min(len(best), perTake)]
}

// correlate sums up the conjugates of conj(X)·Y over the bands; their
// transform is the correlation.
func (s *Searcher) correlate(block *[bands / 2][]complex64) {
	clear(s.sum)
	for b, x := range s.piece {
		y := block[b][:len(x)]
		for i, v := range x {
			re, im := float64(real(y[i])), float64(imag(y[i]))
			s.sum[i] += complex(real(v)*re+imag(v)*im, imag(v)*re-real(v)*im)
		}
	}
}

// scan adds the peaks of one block, whose first step is base.
func (s *Searcher) scan(t *indexed, base int, best *[]Hit) {
	length := len(s.energies) - 1
	for i := range freshSteps {
		lag := base + i
		if lag >= t.f.steps {
			return
		}
		c := real(s.sum[i]) / blockSteps
		if c <= 0 {
			continue
		}
		from, to := max(0, -lag), min(length, t.f.steps-lag)
		if to-from < min(leastSteps, length) {
			continue
		}
		mine := s.energies[to] - s.energies[from]
		theirs := t.f.energy[lag+to] - t.f.energy[lag+from]
		z := c / math.Sqrt(mine*theirs+1) * math.Sqrt(float64(to-from))
		if z > leastZ {
			keepBest(best, Hit{Take: t.number, LagS: float64(lag) / stepsPerSecond, Z: z})
		}
	}
}

// keepBest keeps a few hits, those near each other as the better one.
func keepBest(best *[]Hit, h Hit) {
	lowest := 0
	for i, o := range *best {
		if math.Abs(o.LagS-h.LagS)*stepsPerSecond < apart {
			if h.Z > o.Z {
				(*best)[i] = h
			}
			return
		}
		if o.Z < (*best)[lowest].Z {
			lowest = i
		}
	}
	switch {
	case len(*best) < perTake:
		*best = append(*best, h)
	case h.Z > (*best)[lowest].Z:
		(*best)[lowest] = h
	}
}
