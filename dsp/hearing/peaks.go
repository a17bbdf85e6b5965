package hearing

import (
	"math"
	"slices"

	"rollready/dsp/db"
)

const (
	longBlocks  = 10 * blocksPerSecond // of voice that its peaks are judged by
	shortBlocks = 3 * blocksPerSecond
	newBlocks   = blocksPerSecond // tell what the chain does now
	peakShare   = 0.945           // of the blocks of a voice lie lower: about what 1 % of all blocks of 10 ms exceed, by which a check judges
	fallDB      = 5.0             // a voice that fell so far is another: somebody turned a knob
)

// peaks are the peaks of the last ten seconds of voice in a channel.
type peaks struct {
	in, out [longBlocks]float64 // dBFS
	n       int64
	from    int64 // older ones are forgotten
	sorted  [longBlocks]float64
}

func (p *peaks) add(b *block) {
	p.in[p.n%longBlocks], p.out[p.n%longBlocks] = db.FromAmplitude(float64(b.in)), db.FromAmplitude(float64(b.out))
	p.n++
}

// high gives what most of the newest peaks do not exceed; −Inf of none.
func (p *peaks) high(of *[longBlocks]float64, blocks int64) float64 {
	sorted := p.sorted[:0]
	for i := max(p.from, p.n-min(blocks, longBlocks)); i < p.n; i++ {
		sorted = append(sorted, of[i%longBlocks])
	}
	if len(sorted) == 0 {
		return math.Inf(-1)
	}
	slices.Sort(sorted)
	return quantile(sorted, peakShare)
}

// speech gives the speech peaks at the input and behind the chain. Of the chain
// the newest moments count: a change of gain shows at once.
func (p *peaks) speech() (in, out float64) {
	in = p.high(&p.in, longBlocks)
	if short := p.high(&p.in, shortBlocks); p.n-p.from >= longBlocks/2 && short < in-fallDB {
		p.from, in = p.n-shortBlocks, short
	}
	change := p.high(&p.out, newBlocks) - p.high(&p.in, newBlocks)
	if math.IsNaN(change) {
		return in, math.Inf(-1)
	}
	return in, in + change
}
