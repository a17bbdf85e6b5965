package sequence

import (
	"math"

	"rollready/dsp/db"
)

// Kind names what a section is for.
type Kind string

// The kinds of section.
const (
	Pause       Kind = "pause"
	StartMarker Kind = "start marker"
	IdentLeft   Kind = "ident left"
	IdentRight  Kind = "ident right"
	Ladder      Kind = "ladder"
	Sweep       Kind = "sweep"
	Silence     Kind = "silence"
	Before      Kind = "steady tone"
	Burst       Kind = "burst"
	After       Kind = "steady tone after the burst"
	Pulses      Kind = "polarity pulses"
	EndMarker   Kind = "end marker"
)

// Levels and frequencies of the sequence.
const (
	ToneHz       = 1000.0
	AlignDBFS    = -20.0 // steady tone, ident, sweep
	MarkerDBFS   = -12.0
	PulseDBFS    = -6.0 // peak of a pulse
	BurstDBFS    = -1.0
	LowestDBFS   = -50.0 // first step of the ladder
	HighestDBFS  = -1.0  // last step of the ladder
	StepDB       = 1.0
	SweepFromHz  = 20.0
	SweepToHz    = 20000.0
	sweepSeconds = 6.0
	PulseCount   = 10
	PulseSeconds = 0.0003 // width of one pulse
	PulseEvery   = 0.08   // seconds from pulse to pulse
	markerLowHz  = 400.0
	markerHighHz = 2400.0
	fadeSeconds  = 0.005
)

// Section is one stretch of the sequence. Start and Seconds are whole
// milliseconds, so that a 1 kHz tone runs through a border without a jump.
type Section struct {
	Kind      Kind
	Start     float64 // seconds since the start of the sequence
	Seconds   float64
	LevelDBFS float64 // AES17; −Inf for silence

	from    float64 // amplitude faded from at the start
	fadeOut bool    // whether it fades to nothing at its end
}

// End is the second at which the section ends.
func (s Section) End() float64 { return s.Start + s.Seconds }

// Sections lists the whole sequence in order.
func Sections() []Section {
	b := builder{}
	b.add(Pause, 0.5, math.Inf(-1))
	b.add(StartMarker, 0.4, MarkerDBFS)
	b.add(Pause, 0.3, math.Inf(-1))
	b.add(IdentLeft, 0.4, AlignDBFS)
	b.add(Pause, 0.1, math.Inf(-1))
	b.add(IdentRight, 0.4, AlignDBFS)
	b.add(Pause, 0.3, math.Inf(-1))
	for level := LowestDBFS; level <= HighestDBFS; level += StepDB {
		b.add(Ladder, 0.18, level)
	}
	b.add(Pause, 0.3, math.Inf(-1))
	b.add(Sweep, sweepSeconds, AlignDBFS)
	b.add(Silence, 3, math.Inf(-1))
	b.add(Before, 4, AlignDBFS)
	b.add(Burst, 1.5, BurstDBFS)
	b.add(After, 6, AlignDBFS)
	b.add(Pause, 0.3, math.Inf(-1))
	b.add(Pulses, PulseCount*PulseEvery, PulseDBFS)
	b.add(Pause, 0.2, math.Inf(-1))
	b.add(EndMarker, 0.4, MarkerDBFS)
	b.add(Pause, 0.5, math.Inf(-1))
	b.fades()
	return b.list
}

// Of lists the sections of one kind, in order.
func Of(kind Kind) []Section {
	var found []Section
	for _, s := range Sections() {
		if s.Kind == kind {
			found = append(found, s)
		}
	}
	return found
}

// Seconds is the length of the sequence.
func Seconds() float64 {
	all := Sections()
	return all[len(all)-1].End()
}

type builder struct {
	list []Section
	ms   int
}

func (b *builder) add(kind Kind, seconds, level float64) {
	b.list = append(b.list, Section{Kind: kind, Start: float64(b.ms) / 1000, Seconds: seconds, LevelDBFS: level})
	b.ms += int(math.Round(seconds * 1000))
}

// fades joins tone to tone by a ramp of amplitude and everything else by
// silence, so that no border clicks.
func (b *builder) fades() {
	for i := range b.list {
		s := &b.list[i]
		if i > 0 && s.steady() && b.list[i-1].steady() {
			s.from = db.ToAmplitude(b.list[i-1].LevelDBFS)
		}
		s.fadeOut = i+1 == len(b.list) || !b.list[i+1].steady() || !s.steady()
	}
}

// steady tells whether the section is a 1 kHz tone on both sides.
func (s Section) steady() bool {
	return s.Kind == Ladder || s.Kind == Before || s.Kind == Burst || s.Kind == After
}

// Find gives the first section of a kind; the sequence has at least one of each.
func Find(kind Kind) Section { return Of(kind)[0] }
