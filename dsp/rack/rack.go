// Package rack holds the meters that several judges of a voice in its room go by,
// wired up once. A report and a take's sheet (capture/survey) run them over the
// whole; the check before the camera rolls ([rollready/dsp/preroll]) has them
// hear the room first and then the voice.
//
// [Low] brings the sound down once for hum, low end and pitch.
package rack

import (
	"rollready/dsp/db"
	"rollready/dsp/hum"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/pitch"
	"rollready/dsp/spectrum"
	"rollready/dsp/verdict"
)

// Low measures each channel at the low rate: one decimation feeds all of it. One
// goroutine uses it.
type Low struct {
	Channels []Channel

	decimator *lowrate.Decimator
	rateHz    int
	quiet     bool // what comes is the quiet room
	rest      bool // it is neither room nor voice
}

// Channel is what is measured of one channel.
type Channel struct {
	End   *lowend.Meter
	Pitch *pitch.Tracker
	Quiet spectrum.Average // once finished, as Hum
	Hum   hum.Hum

	narrow *spectrum.Welch
}

// NewLow makes a Low for interleaved frames that looks for the pitch every so
// many seconds. All memory but some of the spectra's is taken here.
func NewLow(rateHz, channels int, pitchSeconds float64) *Low {
	all := make([]Channel, channels)
	for c := range all {
		all[c] = Channel{Pitch: pitch.New(pitchSeconds, lowrate.Rate(rateHz)), narrow: hum.NewSpectrum(rateHz)}
	}
	return of(all, rateHz)
}

func of(all []Channel, rateHz int) *Low {
	l := &Low{Channels: all, rateHz: rateHz}
	for c := range all {
		all[c].End = lowend.New(lowrate.Rate(rateHz))
	}
	l.decimator = lowrate.New(rateHz, len(all), l.take)
	return l
}

// Voice makes a Low for a voice that speaks after the room which l heard: what
// does not stand out from the room has no pitch. Hum it looks for in both.
func (l *Low) Voice() *Low {
	all := make([]Channel, len(l.Channels))
	for c := range all {
		all[c].Pitch, all[c].narrow = l.Channels[c].Pitch, l.Channels[c].narrow
	}
	return of(all, l.rateHz)
}

// Process takes frames.
func (l *Low) Process(block []float32) { l.decimator.Process(block) }

// Room takes frames of the quiet room.
func (l *Low) Room(block []float32) {
	l.quiet = true
	l.decimator.Process(block)
	l.quiet = false
}

// Rest takes frames that are neither room nor voice: only hum is looked for.
func (l *Low) Rest(block []float32) {
	l.rest = true
	l.decimator.Process(block)
	l.rest = false
}

func (l *Low) take(c int, x []float64) {
	k := &l.Channels[c]
	k.narrow.Process(x)
	if l.rest {
		return
	}
	k.End.Process(x)
	if l.quiet {
		k.Pitch.Room(x)
		return
	}
	k.Pitch.Process(x)
}

// Finish looks for hum in the quietest share of the time.
func (l *Low) Finish(share float64) {
	for c := range l.Channels {
		k := &l.Channels[c]
		k.narrow.Flush()
		k.Quiet = k.narrow.Quiet(share)
		k.Hum = hum.Find(k.Quiet)
	}
}

// HumUnder gives the power of a channel's hum as its low-end meter has it.
func (l *Low) HumUnder(c int) (power float64) {
	for _, line := range l.Channels[c].Hum.Lines {
		power += db.ToPower(line.LevelDBFS-db.SineRMS) * lowend.Passes(line.Hz)
	}
	return power
}

// Humming is the hum of a channel, for its judge.
func (l *Low) Humming(c int) verdict.Humming {
	h := l.Channels[c].Hum
	return verdict.Humming{Present: h.Present, MainsHz: h.MainsHz, LevelDBFS: h.LevelDBFS}
}
