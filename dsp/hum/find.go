package hum

import (
	"math"
	"slices"

	"rollready/dsp/db"
	"rollready/dsp/spectrum"
)

const (
	standsDB    = 7.5 // least height of a line over its surroundings; lets 10 dB be found in spite of chance
	chanceDB    = 8.0 // added to it for one piece of sound, less for the mean of more: noise has lines by chance
	leastPieces = 2
	equivalent  = 1.5               // bins: noise bandwidth of a line (Hann)
	lobe        = 2                 // bins on either side that belong to a line (Hann)
	nearHz      = 3.0               // surroundings begin here
	farHz       = 14.0              // and end here
	lowestHz    = 40.0              // nothing is looked for below
	highestHz   = 1000.0            // or above
	mainsSlack  = 0.5               // Hz the mains may be off
	lineSlack   = 0.8               // Hz a harmonic may be off its place
	lowOrder    = 4                 // a lone line counts as hum only up to this harmonic
	skirtDB     = 45.0              // a line so far under a neighbour within farHz is the window's doing
	faintest    = -95.0             // dBFS: less is no hum, whatever it stands out from
	cleanDB     = 85.0              // so far under the strongest sound it is the rounding of a tone's numbers
	buzzHz      = 1e3 / (60.0 / 13) // bursts of a telephone's radio: a frame of 60/13 ms (3GPP TS 45.002)
	buzzLines   = 3                 // of its first four: one alone may be anything
	steadiest   = 0.65              // least steadiness of a line: a voice's level moves
)

// Line is one line of a hum.
type Line struct {
	Harmonic  int
	Hz        float64
	LevelDBFS float64 // AES17
	AboveDB   float64 // over the surrounding noise in the same bandwidth

	steady float64 // [spectrum.Average] of its bin
}

// Hum is what was found. The zero Hum is none.
type Hum struct {
	Present   bool
	MainsHz   int     // 50 or 60
	Hz        float64 // fundamental as measured
	LevelDBFS float64 // all lines together, AES17
	Lines     []Line
}

// Buzz is the MainsHz of what is no mains hum, but the bursts of a telephone's
// radio.
const Buzz = 217

// Find looks for the lines of 50 or 60 Hz mains in a spectrum, and for those of
// a telephone's bursts. It needs two pieces, 2.1 s of sound.
func Find(a spectrum.Average) Hum {
	lines := findLines(a)
	if buzz := family(lines, buzzHz); len(buzz.Lines) >= buzzLines {
		buzz.MainsHz = Buzz
		return buzz.loud(a)
	}
	lines = slices.DeleteFunc(lines, func(l Line) bool { return l.steady < steadiest })
	fifty, sixty := family(lines, 50), family(lines, 60)
	best := fifty
	if power(sixty.Lines) > power(fifty.Lines) {
		best = sixty
	}
	return best.loud(a)
}

// loud gives a hum its level, or none if nobody could hear it.
func (h Hum) loud(a spectrum.Average) Hum {
	h.LevelDBFS = db.RMS(power(h.Lines))
	if len(h.Lines) == 0 || h.LevelDBFS < max(faintest, db.RMS(slices.Max(a.Power))-cleanDB) {
		return Hum{}
	}
	h.Present = true
	return h
}

// findLines gives every line that stands out from its surroundings.
func findLines(a spectrum.Average) []Line {
	var lines []Line
	if a.Pieces < leastPieces {
		return nil
	}
	stands := standsDB + chanceDB/float64(a.Pieces)
	most := 1 / (db.ToPower(stands)*equivalent + 2*lobe + 1)
	for bin := a.Bin(lowestHz); bin <= a.Bin(highestHz); bin++ {
		p := a.Power
		if bin+lobe >= len(p) || p[bin] < p[bin-1] || p[bin] < p[bin+1] {
			continue
		}
		square := 0.0
		for i := bin - lobe; i <= bin+lobe; i++ {
			square += p[i]
		}
		around, quiet := surroundings(a, bin, most*square)
		if !quiet {
			continue
		}
		noise := around * equivalent
		square -= around * (2*lobe + 1)
		if above := db.FromPower(square / noise); above >= stands && !skirt(a, bin) {
			lines = append(lines, Line{Hz: a.PeakHz(bin), LevelDBFS: db.RMS(square), AboveDB: above, steady: a.Steady[bin]})
		}
	}
	return lines
}

// skirt tells whether a bin may be a side lobe of a much stronger line nearby.
func skirt(a spectrum.Average, bin int) bool {
	far := int(farHz / a.BinHz)
	nearby := a.Power[max(0, bin-far):min(len(a.Power), bin+far+1)]
	return slices.Max(nearby) > a.Power[bin]*db.ToPower(skirtDB)
}

// surroundings gives the typical power per bin beside a line: the median of
// both sides, from which neighbouring lines stick out without moving it,
// brought up to the mean that noise with this median has. It is quiet where
// that may be most, or less; where not, the power is not worked out.
func surroundings(a spectrum.Average, bin int, most float64) (power float64, quiet bool) {
	var store [64]float64
	beside := store[:0]
	near, far := int(math.Ceil(nearHz/a.BinHz)), int(farHz/a.BinHz)
	for off := near; off <= far; off++ {
		for _, i := range []int{bin - off, bin + off} {
			if i > 2 && i < len(a.Power) {
				beside = append(beside, a.Power[i])
			}
		}
	}
	if len(beside) == 0 {
		return 0, false
	}
	n := 2 * float64(a.Pieces) // median of a chi-squared of 2n degrees, Wilson and Hilferty
	typical, under := math.Pow(1-2/(9*n), 3), 0
	for _, p := range beside {
		if p <= most*typical*(1+1e-9) {
			under++
		}
	}
	if under <= len(beside)/2 {
		return 0, false
	}
	slices.Sort(beside)
	return beside[len(beside)/2]/typical + 1e-24, true
}

// family takes the lines that are harmonics of a mains frequency, by the place
// of the strongest of them.
func family(lines []Line, mains float64) Hum {
	strongest := -1
	for i, l := range lines {
		k := math.Round(l.Hz / mains)
		if k < 1 || k > lowOrder || math.Abs(l.Hz-k*mains) > lineSlack || math.Abs(l.Hz/k-mains) > mainsSlack {
			continue
		}
		if strongest < 0 || l.LevelDBFS > lines[strongest].LevelDBFS {
			strongest = i
		}
	}
	if strongest < 0 {
		return Hum{}
	}
	hz := lines[strongest].Hz / math.Round(lines[strongest].Hz/mains)
	h := Hum{MainsHz: int(mains), Hz: hz}
	for _, l := range lines {
		k := math.Round(l.Hz / hz)
		if k >= 1 && math.Abs(l.Hz-k*hz) <= lineSlack {
			l.Harmonic = int(k)
			h.Lines = append(h.Lines, l)
		}
	}
	return h
}

func power(lines []Line) float64 {
	sum := 0.0
	for _, l := range lines {
		sum += db.ToPower(l.LevelDBFS - db.SineRMS)
	}
	return sum
}
