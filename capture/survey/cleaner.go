package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/weighting"
)

// Side is one of two compared recordings. Neither gain nor the number of
// channels matters to it: noise and loudness are those of the channel with the
// voice.
type Side struct {
	Path         string        `json:"path"`
	NoiseDB      figure.Figure `json:"noise_db"`  // A-weighted floor over the loudness
	HumDB        figure.Figure `json:"hum_db"`    // over the loudness; −∞ is none
	Overloads    int64         `json:"overloads"` // clipped runs, else flat tops, of the channel with the most
	Dropouts     int64         `json:"dropouts"`
	TruePeakDBTP figure.Figure `json:"true_peak_dbtp"`
	LowHz        figure.Figure `json:"low_hz"`  // keeps up with the other from here …
	HighHz       figure.Figure `json:"high_hz"` // … to here
}

// Reason is one way in which one recording is cleaner than the other.
type Reason struct {
	Code    string `json:"code"`
	Cleaner string `json:"cleaner"` // "a" or "b"
	Message string `json:"message"`
}

// Differences that count (common practice, no source).
const (
	noiseCounts = 2.0  // dB
	humCounts   = 6.0  // dB
	noHum       = 70.0 // dB under the loudness: nobody hears it
	cutBy       = 10.0 // dB under the other, at the same loudness
	heardBy     = 3.0  // dB over the room: there is something to compare
	surelyBy    = 6.0  // dB over the room: it would have been heard
	noRoom      = -1.0 // dBTP
)

// Names of the two recordings.
const (
	sideA, sideB, equal = "a", "b", "equal"
)

// judge fills in sides, reasons and who is cleaner.
func (c *Comparison) judge() {
	for i, r := range c.Measured {
		s := Side{Path: r.Path, NoiseDB: r.NoiseFloorDBA - r.voiceLUFS, HumDB: r.Hum.LevelDBFS - r.voiceLUFS,
			Dropouts: r.Dropouts, TruePeakDBTP: figure.Highest(r.TruePeakDBTP)}
		for k := range r.Channels {
			s.Overloads = max(s.Overloads, cmp.Or(r.ClippedRuns[k], r.FlatTops[k])) // those next to clipped runs are the same
		}
		c.Sides[i] = s
	}
	c.GainDB = c.Measured[1].voiceLUFS - c.Measured[0].voiceLUFS
	c.reach()
	c.Reasons = []Reason{}
	c.less("overload", "overload", func(s Side) int64 { return s.Overloads })
	c.less("dropouts", "hole", func(s Side) int64 { return s.Dropouts })
	c.quieter()
	c.hums()
	c.wider()
	c.room()
	c.Cleaner = equal
	if len(c.Reasons) > 0 {
		c.Cleaner = c.Reasons[0].Cleaner
	}
}

// because adds a reason for A, or for B.
func (c *Comparison) because(code string, forA bool, a, b string) {
	r := Reason{code, sideB, b}
	if forA {
		r.Cleaner, r.Message = sideA, a
	}
	c.Reasons = append(c.Reasons, r)
}

// less compares counts of faults.
func (c *Comparison) less(code, what string, count func(Side) int64) {
	a, b := count(c.Sides[0]), count(c.Sides[1])
	if a != b {
		c.because(code, a < b, fmt.Sprintf("A has %s, B has %d.", so(a, what), b), fmt.Sprintf("B has %s, A has %d.", so(b, what), a))
	}
}

// so writes so many faults: "no holes", "1 hole".
func so(n int64, what string) string {
	switch n {
	case 0:
		return "no " + what + "s"
	case 1:
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// quieter compares the noise under the loudness. Where the quieter one falls behind,
// its noise went with the sound that was cut off: only what both have counts.
func (c *Comparison) quieter() {
	a, b := float64(c.Sides[0].NoiseDB), float64(c.Sides[1].NoiseDB)
	if one, two := c.Sides[0], c.Sides[1]; a < b && one.HighHz < two.HighHz || b < a && two.HighHz < one.HighHz {
		a, b = c.noiseInBands(0), c.noiseInBands(1)
	}
	if by := math.Abs(a - b); by >= noiseCounts && !math.IsInf(by, 0) {
		c.because("noise", a < b, fmt.Sprintf("A has %.0f dB less noise.", by), fmt.Sprintf("B has %.0f dB less noise.", by))
	}
}

// hums compares the hum under the loudness. Far under it is none.
func (c *Comparison) hums() {
	a, b := max(-noHum, float64(c.Sides[0].HumDB)), max(-noHum, float64(c.Sides[1].HumDB))
	switch by := math.Abs(a - b); {
	case !(by >= humCounts):
	case min(a, b) == -noHum:
		c.because("hum", a < b, "B hums, A does not.", "A hums, B does not.")
	default:
		c.because("hum", a < b, fmt.Sprintf("A has %.0f dB less hum.", by), fmt.Sprintf("B has %.0f dB less hum.", by))
	}
}

// wider compares how far up each keeps up with the other.
func (c *Comparison) wider() {
	a, b := c.Sides[0], c.Sides[1]
	if a.HighHz != b.HighHz {
		c.because("bandwidth", a.HighHz > b.HighHz,
			fmt.Sprintf("B falls behind A above %s.", hertz(b.HighHz)),
			fmt.Sprintf("A falls behind B above %s.", hertz(a.HighHz)))
	}
}

// room compares what is left to full scale, where one has next to nothing.
func (c *Comparison) room() {
	a, b := float64(c.Sides[0].TruePeakDBTP), float64(c.Sides[1].TruePeakDBTP)
	if (a > noRoom) != (b > noRoom) {
		c.because("true-peak", a < b, figure.Sprintf("B peaks at %+.1f dBTP.", b), figure.Sprintf("A peaks at %+.1f dBTP.", a))
	}
}

func hertz(f figure.Figure) string {
	if f >= 1000 {
		return fmt.Sprintf("%g kHz", float64(f)/1000)
	}
	return fmt.Sprintf("%g Hz", float64(f))
}

// reach finds the bands in which each keeps up with the sound of the other,
// from the middle outwards, both brought to the same level. Noise of the other
// is nothing to keep up with.
func (c *Comparison) reach() {
	bands := [2][]Band{c.Measured[0].Bands, c.Measured[1].Bands}
	gain := c.gainInBands(min(len(bands[0]), len(bands[1])))
	n := max(len(bands[0]), len(bands[1]))
	for i := range bands {
		bands[i] = lengthened(bands[i], bands[1-i])
	}
	middle := n / 2
	for i := range c.Sides {
		own, other, over := bands[i], bands[1-i], gain*float64(2*i-1) // of own over other
		keeps := func(k int) bool { return keepsUp(own[k], soundDBFS(other[k])+over) }
		low, high := middle, middle
		for low > 0 && keeps(low-1) {
			low--
		}
		for high < n-1 && keeps(high+1) {
			high++
		}
		for low < middle && !hasSound(bands, low) {
			low++
		}
		for high > middle && !hasSound(bands, high) {
			high--
		}
		c.Sides[i].LowHz, c.Sides[i].HighHz = own[low].NominalHz, own[high].NominalHz
	}
}

// lengthened gives bands that a lower sample rate does not have, empty.
func lengthened(own, other []Band) []Band {
	own = slices.Clone(own)
	for k := len(own); k < len(other); k++ {
		none := figure.Figure(math.Inf(-1))
		own = append(own, Band{other[k].NominalHz, none, none, none})
	}
	return own
}

// hasSound tells whether there is sound over the room in a band, in either.
func hasSound(bands [2][]Band, k int) bool {
	return !math.IsInf(soundDBFS(bands[0][k]), -1) || !math.IsInf(soundDBFS(bands[1][k]), -1)
}

// keepsUp tells whether a band has the sound that the other recording has
// there. Where its own noise would hide that sound, nobody can tell.
func keepsUp(own Band, soundOfOther float64) bool {
	switch level := float64(own.LevelDBFS); {
	case math.IsInf(soundOfOther, -1):
		return true
	case math.IsInf(soundDBFS(own), -1):
		return soundOfOther < level+surelyBy
	default:
		return soundOfOther < level+cutBy
	}
}

// soundDBFS is the level of a band without that of its room; −∞ where nothing
// stands out of it.
func soundDBFS(b Band) float64 {
	level, room := float64(b.LevelDBFS), float64(b.RoomToneDBFS)+swing(float64(b.NominalHz))
	if !(level-room >= heardBy) {
		return math.Inf(-1)
	}
	return level + 10*math.Log10(1-math.Pow(10, (room-level)/10))
}

// swing is how far the level of mere noise in a one-third-octave band, taken
// with the fast weighting, falls under its mean a tenth of the time: that of a
// chi-squared of 2·B·T degrees (Wilson and Hilferty).
func swing(hz float64) float64 {
	n := 2 * 0.23 * hz * 0.25
	return -30 * math.Log10(1-2/(9*n)-1.2816*math.Sqrt(2/(9*n)))
}

// noiseInBands is the A-weighted room of a recording, as loud as A, in the bands in
// which both keep up.
func (c *Comparison) noiseInBands(side int) float64 {
	const rateHz = 192000 // at which the weighting is exact in all bands
	curve, sum := weighting.Design(weighting.A, rateHz), 0.0
	low, high := max(c.Sides[0].LowHz, c.Sides[1].LowHz), min(c.Sides[0].HighHz, c.Sides[1].HighHz)
	bands := [2][]Band{c.Measured[0].Bands, c.Measured[1].Bands}
	for _, b := range bands[side] {
		if b.NominalHz >= low && b.NominalHz <= high {
			sum += db.ToPower(float64(b.RoomToneDBFS) + filter.ResponseDB(curve, float64(b.NominalHz), rateHz))
		}
	}
	return db.FromPower(sum) - float64(side)*c.gainInBands(min(len(bands[0]), len(bands[1])))
}

// gainInBands is how much louder B is in the middle of the bands.
func (c *Comparison) gainInBands(n int) float64 {
	var by []float64
	for k := n / 4; k < 3*n/4; k++ {
		if d := float64(c.Measured[1].Bands[k].LevelDBFS - c.Measured[0].Bands[k].LevelDBFS); !math.IsNaN(d) && !math.IsInf(d, 0) {
			by = append(by, d)
		}
	}
	if len(by) == 0 {
		return 0
	}
	slices.Sort(by)
	return by[len(by)/2]
}
