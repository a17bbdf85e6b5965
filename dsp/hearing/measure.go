package hearing

import (
	"math"
	"slices"

	"rollready/dsp/db"
	"rollready/dsp/gap"
	"rollready/dsp/hum"
	"rollready/dsp/lowrate"
	"rollready/dsp/spectrum"
	"rollready/dsp/verdict"
)

// Figures of the low end and the hum (common practice, no source).
const (
	swingLow, swingHigh = 0.02, 0.10 // shares of the time, A-weighted: no further apart in a room
	gustBlocks          = 8          // 0.4 s, as in lowend
	lowQuiet            = 0.3        // of the time: between the words
	deepShare           = 0.1
	turnSeconds         = 6.0 // a spectrum takes over from the other
	lookSeconds         = 3.0
	leastSpectrum       = 2.5
	leastPieces         = 2.5                 // that hum is looked for in, some to spare
	pieceSeconds        = 0.7                 // half of one: they overlap
	humOverDB           = 2.0                 // a hum over the quietest moments is none
	leastOffset         = 3 * blocksPerSecond // blocks for a zero line
	dependent           = 3                   // blocks after one another are alike
	sureOf              = 4                   // standard errors of a mean that are no chance
)

// measure brings figures up to date.
func (e *Ear) measure() {
	h := &e.heard
	for c, k := range e.ch {
		h.Channels[c].SpeechDBTP, h.Channels[c].SpeechOutDBTP = k.peaks.speech()
		e.breaks(c, &h.Channels[c])
		if e.blocks%blocksPerSecond == 0 {
			e.channel(c, &h.Channels[c])
		}
	}
	if e.blocks%blocksPerSecond == 0 && e.channels == 2 && h.PauseSeconds < 1 {
		e.compare()
	}
}

func (e *Ear) breaks(n int, c *Channel) {
	c.Breaks = e.gaps.On(n, gap.Hole) + e.gaps.On(n, gap.Repeat) + e.gaps.On(n, gap.Hold)
	c.Dips, c.Cracks = e.gaps.On(n, gap.Dip), e.gaps.On(n, gap.Crack)
}

func (e *Ear) channel(n int, c *Channel) {
	k := e.ch[n]
	all := e.alone(n)
	swing := db.FromPower(quantile(all, swingHigh) / max(lowestFloor, quantile(all, swingLow)))
	c.RoomHeard = len(all) > 0 && swing <= verdict.RoomSwingDB
	floorA := max(lowestFloor, quantile(all, quietShare))
	flat := e.levels(k, memory, func(b *block) float64 { return b.flat })
	c.FloorDBFS = db.RMS(max(lowestFloor, quantile(flat, quietShare)))
	c.FundamentalHz = k.pitch.Hz(deepShare)
	if c.PauseSeconds < 1 {
		e.voiceOver(n, c, floorA)
	}
	if k.loud > 0 { // also of a room that only a pause lets be heard
		c.OverRoomDBA = db.FromPower(max(0, k.loud-floorA) / floorA)
	}
	e.offset(n, c)
	e.lowEnd(k, c)
	if e.blocks%(lookSeconds*blocksPerSecond) == 0 {
		k.hum(c, e.rateHz, func(seconds float64) float64 {
			lately := e.levels(k, int(seconds*blocksPerSecond), func(b *block) float64 { return b.flat })
			return db.RMS(max(lowestFloor, quantile(lately, swingLow)))
		})
	}
}

// alone sorts the levels of a channel without the moments in which others speak,
// where enough are left: their voices are no room.
func (e *Ear) alone(c int) []float64 {
	k := e.ch[c]
	if !e.people {
		return e.levels(k, memory, weighted)
	}
	sorted := k.sorted[:0]
	from, to := e.since(memory)
	for i := from; i < to; i++ {
		if b := &k.past[i%memory]; b.flat > 0 && !e.others(c, i) {
			sorted = append(sorted, b.weighted)
		}
	}
	if len(sorted) < leastHeard {
		return nil
	}
	slices.Sort(sorted)
	return sorted
}

// spoke tells whether the voice of a channel is heard in a block.
func (e *Ear) spoke(c int, block int64) bool {
	v := e.voice(c)
	return e.ch[v].past[block%memory].weighted > e.ch[v].sense.active && e.owns(v, block)
}

// voiceOver measures the voice in a channel while there is one.
func (e *Ear) voiceOver(n int, c *Channel, floorA float64) {
	sum, flat, count := 0.0, 0.0, 0.0
	from, to := e.since(window)
	for i := from; i < to; i++ {
		if e.spoke(n, i) {
			b := &e.ch[n].past[i%memory]
			sum, flat, count = sum+b.weighted, flat+b.flat, count+1
		}
	}
	if count == 0 {
		return
	}
	e.ch[n].loud = sum / count
	above := max(0, sum/count-floorA)
	flatAbove := max(0, flat/count-db.ToPower(c.FloorDBFS-db.SineRMS))
	c.VoiceDBFS = db.RMS(max(above, flatAbove))
}

// offset measures the zero line, in the pauses where there are some.
func (e *Ear) offset(n int, c *Channel) {
	var all, quiet spread
	k, active := e.ch[n], e.ch[e.voice(n)].sense.active
	from, to := e.since(window)
	for i := from; i < to; i++ {
		b := &k.past[i%memory]
		all.add(b.dc)
		if b.weighted <= active {
			quiet.add(b.dc)
		}
	}
	if quiet.n >= leastOffset {
		all = quiet
	}
	c.DC = all.certain()
}

// spread sums up values.
type spread struct{ n, sum, squares float64 }

func (s *spread) add(v float64) { s.n, s.sum, s.squares = s.n+1, s.sum+v, s.squares+v*v }

// certain is the mean, 0 where it may be chance: rumble has slow waves.
func (s *spread) certain() float64 {
	if s.n < leastOffset {
		return 0
	}
	mean := s.sum / s.n
	chance := math.Sqrt(max(0, s.squares/s.n-mean*mean) / (s.n / dependent))
	if math.Abs(mean) < sureOf*chance {
		return 0
	}
	return mean
}

func (e *Ear) lowEnd(k *channel, c *Channel) {
	lows := e.levels(k, window, func(b *block) float64 { return b.low })
	c.LowDBFS = db.RMS(max(lowestFloor, quantile(lows, lowQuiet)))
	c.Thumps, c.Windy = 0, 0
	if !math.IsInf(c.VoiceDBFS, -1) && len(lows) > 0 {
		for _, power := range lows {
			under := c.VoiceDBFS - db.RMS(power)
			if under < verdict.ThumpDB {
				c.Thumps++
			}
			if under < verdict.WindDB {
				c.Windy += 1 / float64(len(lows))
			}
		}
	}
	c.GustsDB = e.gusts(k)
}

// gusts is the distance of the low end's levels over 0.4 s that are exceeded a
// tenth and nine tenths of the time.
func (e *Ear) gusts(k *channel) float64 {
	long := k.sorted[:0]
	from, to := e.since(window)
	for i := from; i+gustBlocks <= to; i += gustBlocks {
		sum := 0.0
		for j := range int64(gustBlocks) {
			sum += k.past[(i+j)%memory].low
		}
		long = append(long, sum)
	}
	if len(long) < 4 {
		return 0
	}
	slices.Sort(long)
	return db.FromPower((quantile(long, 0.9) + 1e-30) / (quantile(long, 0.1) + 1e-30))
}

// compare compares both channels while somebody speaks.
func (e *Ear) compare() {
	var sum moments
	from, to := e.since(window)
	for i := from; i < to; i++ {
		if e.spoke(e.heard.Voice, i) {
			m := e.both.past[i%memory]
			sum.aa, sum.bb, sum.ab = sum.aa+m.aa, sum.bb+m.bb, sum.ab+m.ab
		}
	}
	e.heard.Correlation, e.heard.MonoDB = sum.correlation(), db.FromPower(sum.mono())
}

// follow hands sound to both spectra; each begins anew when its turn is over.
func (k *channel) follow(x []float64) {
	for i, n := range k.narrow {
		n.Process(x)
		k.heard[i] += len(x)
	}
}

// hum looks for hum in the spectrum that has heard more, then, as it may have
// begun since, in the other. The older one begins anew once the other knows
// enough. quietest gives the level of the quietest moments of so many seconds.
func (k *channel) hum(c *Channel, rateHz int, quietest func(seconds float64) float64) {
	seconds := func(i int) float64 { return float64(k.heard[i]) / lowrate.Rate(rateHz) }
	older := 0
	if k.heard[1] > k.heard[0] {
		older = 1
	}
	if k.heard[0] == k.heard[1] && seconds(0) >= turnSeconds { // apart from now on
		k.renew(1)
	}
	if seconds(older) < leastSpectrum {
		return
	}
	found := k.humIn(older, seconds(older), quietest)
	if newer := 1 - older; !found.Present && seconds(newer) >= leastSpectrum && k.heard[newer] < k.heard[older] {
		found = k.humIn(newer, seconds(newer), quietest)
	}
	c.Hum, k.last = k.twice(found), found
	if seconds(older) >= 2*turnSeconds {
		k.renew(older)
	}
}

// humIn is the hum that one spectrum has heard.
func (k *channel) humIn(i int, seconds float64, quietest func(seconds float64) float64) Hum {
	share := max(hum.QuietShare, leastPieces*pieceSeconds/seconds) // early there are few pieces
	found := described(k.narrow[i].Quiet(share))
	if found.LevelDBFS > quietest(seconds)+humOverDB { // it is never away, or it is the voice's
		return Hum{}
	}
	return found
}

// twice lets a hum through that was found the last time too: a voice on one note
// makes lines for a while.
func (k *channel) twice(found Hum) Hum {
	if !k.last.Present || found.MainsHz != k.last.MainsHz {
		return Hum{}
	}
	return found
}

func (k *channel) renew(i int) {
	k.narrow[i].Reset()
	k.heard[i] = 0
}

func described(a spectrum.Average) Hum {
	found := hum.Find(a)
	h := Hum{Present: found.Present, MainsHz: found.MainsHz, LevelDBFS: found.LevelDBFS}
	loudest := math.Inf(-1)
	for _, l := range found.Lines {
		if l.LevelDBFS > loudest {
			loudest, h.LoudestHz = l.LevelDBFS, l.Hz
		}
	}
	return h
}
