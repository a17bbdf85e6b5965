// Package noise measures levels block by block: the mean, and the noise floor
// as the level that is exceeded 90 to 95 % of the time. Flat, without DC, and
// A-weighted (IEC 61672-1), in dBFS after AES17.
package noise

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/hops"
	"rollready/dsp/internal/abreast"
	"rollready/dsp/internal/histogram"
	"rollready/dsp/weighting"
)

const (
	blocksPerSecond = 10
	lowestDB        = -160.0
	highestDB       = 40.0
	stepDB          = 0.1
	floorLow        = 0.05 // the quietest twentieth may be cut or faded
	floorHigh       = 0.10
	dcBins          = 40     // of 5 dB
	pause           = 0.0257 // 15.9 dB under the mean, the margin of ITU-T P.56 (from memory)
)

// Meter keeps the levels of each channel in bounded memory. Not safe for
// concurrent use.
type Meter struct {
	sections [3]filter.Biquad
	blocks   hops.Hops
	ch       []channel
	pair     *abreast.Cascade // in place of the channels' own filters, where there are two
}

type channel struct {
	filter       heard
	dc           [dcBins]struct{ blocks, sum float64 } // by level
	lively       lively
	sums         sums // of the present block
	flats, heard *histogram.Histogram
}

// New makes a meter for interleaved blocks of so many channels.
func New(rateHz, channels int) *Meter {
	m := &Meter{sections: [3]filter.Biquad(weighting.Design(weighting.A, rateHz)), blocks: hops.Hops{Channels: channels, Frames: rateHz / blocksPerSecond}, ch: make([]channel, channels)}
	for c := range m.ch {
		m.ch[c].flats = histogram.New(lowestDB, highestDB, stepDB)
		m.ch[c].heard = histogram.New(lowestDB, highestDB, stepDB)
		m.ch[c].lively = newLively()
	}
	if channels == 2 && abreast.Fast {
		m.pair = abreast.New(trickle, m.sections[:]...)
	}
	return m
}

// Process takes interleaved frames. Values that are not finite count as
// silence. It does not allocate.
func (m *Meter) Process(block []float32) {
	m.blocks.Cut(block, m.add, m.endBlock)
}

func (m *Meter) add(part []float32) {
	if m.pair != nil {
		m.pair.Add(part)
		return
	}
	for c := range m.ch {
		k := &m.ch[c]
		k.filter.add(&k.sums, &m.sections, part[c:], len(m.ch))
	}
}

// endBlock counts the block in every channel; digital silence is no noise and
// isn't counted.
func (m *Meter) endBlock() {
	if m.pair != nil {
		both := m.pair.Take()
		for i := range m.ch {
			m.ch[i].sums = sums{both.DC[i], both.Flat[i], both.Power[i]}
		}
	}
	for i := range m.ch {
		c := &m.ch[i]
		n := float64(m.blocks.Frames)
		if c.sums.flat > 0 {
			dc := c.sums.dc / n
			power := max(0, c.sums.flat/n-dc*dc) // of a steady offset the rounding may leave less than nothing
			c.flats.Add(power)
			c.heard.Add(c.sums.heard / n)
			c.lively.push(c.sums.heard / n)
			bin := &c.dc[int(max(0, min((db.FromPower(power)-lowestDB)/5, dcBins-1)))]
			bin.blocks++
			bin.sum += dc
		}
		c.sums = sums{}
	}
}

// FloorDBFS gives the level a channel exceeds 90 to 95 % of the time.
func (m *Meter) FloorDBFS(ch int) float64 { return db.RMS(m.ch[ch].flats.Between(floorLow, floorHigh)) }

// FloorDBA is FloorDBFS, A-weighted.
func (m *Meter) FloorDBA(ch int) float64 { return db.RMS(m.ch[ch].heard.Between(floorLow, floorHigh)) }

// MeanDBFS gives the level of a channel in the mean of power: what a marked
// room tone is measured with.
func (m *Meter) MeanDBFS(ch int) float64 { return db.RMS(m.ch[ch].flats.Mean()) }

// MeanDBA is MeanDBFS, A-weighted.
func (m *Meter) MeanDBA(ch int) float64 { return db.RMS(m.ch[ch].heard.Mean()) }

// VoiceDBFS gives the level of a voice in a channel without the noise under
// it, given the mean level of that noise: the mean power above the noise of
// the blocks that are no pauses. −Inf where nothing rises above the noise.
func (m *Meter) VoiceDBFS(ch int, noiseDBFS float64) float64 { return voice(m.ch[ch].flats, noiseDBFS) }

// VoiceDBA is VoiceDBFS, A-weighted.
func (m *Meter) VoiceDBA(ch int, noiseDBA float64) float64 { return voice(m.ch[ch].heard, noiseDBA) }

func voice(h *histogram.Histogram, noiseDBFS float64) float64 {
	noise := db.ToPower(noiseDBFS - db.SineRMS)
	over := h.Mean() - noise
	if over <= 0 {
		return math.Inf(-1)
	}
	_, active := h.Above(noise + over*pause)
	return db.RMS(max(0, active-noise))
}

// QuietDC gives the mean amplitude of a channel in its quietest tenth: a voice
// that is clipped may be lopsided, a room is not.
func (m *Meter) QuietDC(ch int) float64 {
	c, blocks, sum := &m.ch[ch], 0.0, 0.0
	for _, bin := range c.dc {
		blocks, sum = blocks+bin.blocks, sum+bin.sum
		if blocks > floorHigh*float64(c.flats.Blocks()) {
			break
		}
	}
	return sum / max(1, blocks)
}

// FloorSwingDB tells how steady the quietest moments of a channel are: the
// distance between the A-weighted levels exceeded 98 % and 85 % of the time. A
// room stays under 3 dB; sound that never pauses swings far more.
func (m *Meter) FloorSwingDB(ch int) float64 {
	h := m.ch[ch].heard
	return db.FromPower(h.Quantile(0.15, 0) / (h.Quantile(0.02, 0) + 1e-30))
}

// ActiveShare gives the share of blocks of a channel that lie so many dB
// above a level.
func (m *Meter) ActiveShare(ch int, levelDBFS, aboveDB float64) float64 {
	h := m.ch[ch].flats
	active, _ := h.Above(db.ToPower(levelDBFS + aboveDB - db.SineRMS))
	return float64(active) / float64(max(1, h.Blocks()))
}

// Reset forgets everything.
func (m *Meter) Reset() {
	m.blocks.Reset()
	if m.pair != nil {
		m.pair.Reset()
	}
	for i := range m.ch {
		c := &m.ch[i]
		c.flats.Reset()
		c.heard.Reset()
		*c = channel{flats: c.flats, heard: c.heard, lively: newLively()}
	}
}
