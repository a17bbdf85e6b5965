package match

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/internal/fft"
)

const (
	// HopsPerSecond is how often a print keeps the levels.
	HopsPerSecond = 50
	bands         = 12
	lowestHz      = 200.0 // wind and handling lie lower
	highestHz     = 6400.0
	windowS       = 0.040
	perHop        = bands + 2 // bytes: the bands, the whole, the peak
	lowDB         = -127.0    // byte 0; a byte is half a decibel
)

// Print is what is kept of a recording for finding it again. A plain value.
type Print struct {
	Seconds float64
	Channel int     // the liveliest, from 0: where the voice is clearest
	Hops    []uint8 // per hop: band levels, level of the whole, sample peak
}

// Len is the number of hops.
func (p Print) Len() int { return len(p.Hops) / perHop }

// RMSDBFS is the level of a hop, of all frequencies and the liveliest channel.
func (p Print) RMSDBFS(hop int) float64 { return level(p.Hops[hop*perHop+bands]) }

// PeakDBFS is the highest sample of a hop in any channel.
func (p Print) PeakDBFS(hop int) float64 { return level(p.Hops[hop*perHop+bands+1]) }

func (p Print) bandDB(hop, band int) float64 { return level(p.Hops[hop*perHop+band]) }

func level(b uint8) float64 { return lowDB + float64(b)/2 }

func quantised(levelDB float64) uint8 {
	return uint8(max(0, min(255, math.Round(2*(levelDB-lowDB)))))
}

// Printer makes the print of a recording. One goroutine uses it.
type Printer struct {
	rateHz, channels int
	size             int // of the window, frames
	window           []float64
	edges            [bands + 1]int // bins
	plan             *fft.Plan
	z                []complex128
	kept             []float32 // interleaved, the window and what came after it
	first            int64     // frame of kept[0]
	frames           int64     // taken
	hops             int64
	out              [][]uint8 // one print per channel
	lively           []liveliness
}

// liveliness sums up how much the level of a channel moves.
type liveliness struct{ n, sum, squares float64 }

// NewPrinter makes a printer for interleaved frames.
func NewPrinter(rateHz, channels int) *Printer {
	p := &Printer{rateHz: rateHz, channels: channels, size: 64}
	for float64(p.size) < windowS*float64(rateHz) {
		p.size *= 2
	}
	p.plan, p.z, p.window = fft.New(p.size), make([]complex128, p.size), make([]float64, p.size)
	for i := range p.window {
		p.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(p.size))
	}
	for b := range p.edges {
		hz := lowestHz * math.Pow(highestHz/lowestHz, float64(b)/bands)
		p.edges[b] = min(p.size/2, int(math.Round(hz*float64(p.size)/float64(rateHz))))
	}
	p.kept = make([]float32, p.size/2*channels)
	p.first = -int64(p.size / 2)
	p.out, p.lively = make([][]uint8, channels), make([]liveliness, channels)
	return p
}

// Process takes interleaved frames. Values that are not finite count as silence.
func (p *Printer) Process(block []float32) {
	for _, v := range block {
		if v-v != 0 {
			v = 0
		}
		p.kept = append(p.kept, v)
	}
	p.frames += int64(len(block) / p.channels)
	for p.start()+int64(p.size) <= p.first+int64(len(p.kept)/p.channels) {
		p.hop()
	}
	done := max(0, p.start()-p.first)
	p.kept = p.kept[:copy(p.kept, p.kept[done*int64(p.channels):])]
	p.first += done
}

// start is the first frame of the next window, whose middle is the hop.
func (p *Printer) start() int64 {
	return p.hops*int64(p.rateHz)/HopsPerSecond - int64(p.size/2)
}

// Print ends the recording and gives its print.
func (p *Printer) Print() Print {
	length := p.frames
	p.Process(make([]float32, p.size*p.channels))
	best := p.liveliest()
	hops := min(len(p.out[best]), int(length*HopsPerSecond/int64(p.rateHz))*perHop)
	return Print{Seconds: float64(length) / float64(p.rateHz), Channel: best, Hops: p.out[best][:hops]}
}

func (p *Printer) liveliest() int {
	best, most := 0, -1.0
	for c, l := range p.lively {
		mean := l.sum / max(1, l.n)
		if moves := l.squares/max(1, l.n) - mean*mean; moves > 1.1*most {
			best, most = c, moves
		}
	}
	return best
}

func (p *Printer) hop() {
	from := int(p.start()-p.first) * p.channels
	x := p.kept[from : from+p.size*p.channels]
	for c := 0; c < p.channels; c += 2 {
		p.pair(x, c)
	}
	p.hops++
}

// pair transforms two channels at once, as real and imaginary part.
func (p *Printer) pair(x []float32, c int) {
	n, two := p.channels, c+1 < p.channels
	for i, w := range p.window {
		re, im := w*float64(x[i*n+c]), 0.0
		if two {
			im = w * float64(x[i*n+c+1])
		}
		p.z[i] = complex(re, im)
	}
	p.plan.Transform(p.z)
	var a, b [bands + 1]float64
	for band := range bands {
		for k := p.edges[band]; k < p.edges[band+1]; k++ {
			u, v := p.z[k], p.z[p.size-k]
			sr, si := real(u)+real(v), imag(u)-imag(v)
			dr, di := real(u)-real(v), imag(u)+imag(v)
			a[band] += (sr*sr + si*si) / 4
			b[band] += (dr*dr + di*di) / 4
		}
	}
	p.keep(c, a[:bands], x)
	if two {
		p.keep(c+1, b[:bands], x)
	}
}

// keep writes the levels of a hop. A sine of full scale reads 0 dB.
func (p *Printer) keep(c int, powers []float64, x []float32) {
	scale := 4 / (0.375 * float64(p.size) * float64(p.size))
	all := 0.0
	for _, power := range powers {
		all += power
		p.out[c] = append(p.out[c], quantised(db.FromPower(scale*power)))
	}
	inner := x[len(x)/4/p.channels*p.channels : len(x)*3/4/p.channels*p.channels]
	sum, peak := 0.0, float32(0)
	for i := 0; i < len(inner); i += p.channels {
		v := float64(inner[i+c])
		sum += v * v
		for _, s := range inner[i : i+p.channels] {
			peak = max(peak, s, -s)
		}
	}
	rms := db.RMS(sum / float64(max(1, len(inner)/p.channels)))
	p.out[c] = append(p.out[c], quantised(rms), quantised(db.FromAmplitude(float64(peak))))
	l, moved := &p.lively[c], max(-80, db.FromPower(scale*all))
	l.n, l.sum, l.squares = l.n+1, l.sum+moved, l.squares+moved*moved
}
