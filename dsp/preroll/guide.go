package preroll

import (
	"math"

	"rollready/dsp/verdict"
	"rollready/dsp/weighting"
)

// Step is a step of the guided check.
type Step int

// The steps.
const (
	Quiet Step = iota // "stay quiet": room tone
	Speak             // "speak as you will speak"
	Done              // Result may be called
)

// Lengths of the steps in seconds.
const (
	QuietSeconds  = 5
	SpeakSeconds  = 10
	changeSeconds = 1 // in which one person ends and the next begins: not kept
)

// Trouble is why a step had to begin anew.
type Trouble int

// The troubles.
const (
	NoTrouble   Trouble = iota
	Talking             // someone talked or knocked while it should be quiet
	NobodySpoke         // nothing rose above the room while someone should speak
)

const (
	troubleLimit = 3    // times a step begins anew before it takes what there is
	guideParts   = 20   // levels looked at per second
	talkAboveDB  = 15.0 // above the quiet moments of the same step
	talkParts    = 6    // 0.3 s of talk spoil the room tone
	speakDB      = 6.0  // above the room
	speakShare   = 0.2  // of the step must be voice
	faintDBA     = -75.0
)

// Guide leads through a check: Quiet, Speak, Done; of several people each has a
// turn to Speak. It keeps the
// frames, so a step can be repeated and judging waits until all is heard.
// Process copies frames and watches one level: any goroutine but the audio
// thread may feed it; Result takes some tenths of a second and is for
// another goroutine than the one that must keep up.
type Guide struct {
	rateHz, channels int
	step             Step
	who              []int       // channels whose people speak in turn; nil: one voice in all
	part             int         // that is heard: 0 the quiet, then each turn
	frames           [][]float32 // kept, by part
	levels           [][]float64 // A-weighted, by part, dBFS
	meter            *weighting.Meter
	size, filled     int
	passOver         int // frames that come while the turn changes
	trouble          Trouble
	again            int
}

// NewGuide makes a guide for interleaved input frames; all memory is taken here.
// The people of the channels given, from 0, speak in turn; of fewer than two
// nobody is asked for.
func NewGuide(rateHz, channels int, who ...int) *Guide {
	g := &Guide{rateHz: rateHz, channels: channels, meter: weighting.New(weighting.A, 0.05, rateHz, channels), size: rateHz / guideParts}
	if len(who) > 1 {
		g.who = who
	}
	for i := range 1 + max(1, len(g.who)) {
		seconds := SpeakSeconds
		if i == 0 {
			seconds = QuietSeconds
		}
		g.frames = append(g.frames, make([]float32, 0, seconds*rateHz*channels))
		g.levels = append(g.levels, make([]float64, 0, seconds*guideParts+1))
	}
	return g
}

// Progress is where a guide stands.
type Progress struct {
	Step    Step
	Strip   int     // of Speak, from 1: whose turn it is; 0: one voice in all channels
	Share   float64 // of the turn that is done, 0 to 1
	Left    float64 // seconds of the turn to come
	Trouble Trouble // why the step began anew, until it is done
}

// Progress tells where the guide stands.
func (g *Guide) Progress() Progress {
	p := Progress{Step: g.step, Share: 1}
	if g.step == Done {
		return p
	}
	frames := g.frames[g.part]
	p.Left = float64(cap(frames)-len(frames)) / float64(g.channels*g.rateHz)
	p.Share, p.Trouble = float64(len(frames))/float64(cap(frames)), g.trouble
	if g.step == Speak && g.who != nil {
		p.Strip = g.who[g.part-1] + 1
	}
	return p
}

// Repeat begins a step anew, while people speak the present turn; everything
// after it is forgotten too.
func (g *Guide) Repeat(step Step) {
	switch {
	case step == Quiet:
		g.begin(0)
	case g.step != Speak:
		g.begin(1)
	default:
		g.begin(g.part)
	}
	g.trouble, g.again = NoTrouble, 0
}

func (g *Guide) begin(part int) {
	g.part, g.step = part, min(Step(part), Speak)
	for i := part; i < len(g.frames); i++ {
		g.frames[i], g.levels[i] = g.frames[i][:0], g.levels[i][:0]
	}
	g.filled, g.passOver = 0, 0
}

// Process takes frames. Once Done it ignores them. It does not allocate.
func (g *Guide) Process(block []float32) {
	if pass := min(g.passOver, len(block)/g.channels); pass > 0 {
		g.passOver -= pass
		block = block[pass*g.channels:]
	}
	for len(block) >= g.channels && g.step != Done {
		kept := &g.frames[g.part]
		n := min(len(block), cap(*kept)-len(*kept), (g.size-g.filled)*g.channels)
		n -= n % g.channels
		g.meter.Process(block[:n])
		*kept = append(*kept, block[:n]...)
		block = block[n:]
		if g.filled += n / g.channels; g.filled == g.size {
			g.endPart()
		}
		if g.step != Done && len(g.frames[g.part]) == cap(g.frames[g.part]) {
			g.endStep()
		}
	}
}

func (g *Guide) endPart() {
	g.filled = 0
	g.levels[g.part] = append(g.levels[g.part], max(g.meter.HighestDBFS(), verdict.SilentDBFS))
	if g.step == Quiet && g.talked() {
		g.anew(Talking)
	}
}

// talked tells whether the room tone so far holds talk: its loud moments rise
// far above its quiet ones.
func (g *Guide) talked() bool {
	levels := g.levels[0]
	quietest, loud := math.Inf(1), 0
	for _, l := range levels {
		if l > verdict.SilentDBFS { // a device may begin with zeros
			quietest = min(quietest, l)
		}
	}
	for _, l := range levels {
		if l > max(quietest+talkAboveDB, faintDBA) {
			loud++
		}
	}
	return loud >= talkParts
}

// spoke tells whether a voice rose above the room.
func (g *Guide) spoke() bool {
	room := mean(g.levels[0])
	voiced := 0
	for _, l := range g.levels[g.part] {
		if l > room+speakDB {
			voiced++
		}
	}
	return float64(voiced) >= speakShare*float64(len(g.levels[g.part]))
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}

// anew begins the present step again, unless it did so too often: then what
// there is will be judged.
func (g *Guide) anew(why Trouble) bool {
	if g.again == troubleLimit {
		return false
	}
	g.again++
	g.trouble = why
	g.begin(g.part)
	return true
}

func (g *Guide) endStep() {
	if g.step == Speak && !g.spoke() && g.anew(NobodySpoke) {
		return
	}
	if g.part++; g.part == len(g.frames) {
		g.step = Done
	} else {
		g.step = Speak
	}
	if g.step == Speak && g.part > 1 {
		g.passOver = changeSeconds * g.rateHz
	}
	g.trouble, g.again, g.filled = NoTrouble, 0, 0
}

// Result judges what was kept. It fails with ErrShort before Done. Of people
// the setup has one for every channel.
func (g *Guide) Result(setup Setup) (Result, error) {
	if g.step != Done {
		return Result{}, ErrShort
	}
	setup.unquiet = g.talked()
	if g.who == nil {
		return judgeHeard(g.rateHz, g.channels, setup, g.frames[0], g.frames[1])
	}
	t := Turns{RateHz: g.rateHz, Channels: g.channels, Quiet: g.frames[0]}
	for i, channel := range g.who {
		t.Of = append(t.Of, Turn{channel, g.frames[1+i]})
	}
	return t.Result(setup)
}

// judgeHeard judges a voice after a quiet. The gain recommended is that for the
// chain with the recommended high-pass in it: what is applied still suits.
func judgeHeard(rateHz, channels int, setup Setup, quiet, voice []float32) (Result, error) {
	hear := func() *Check {
		c := New(rateHz, channels, setup)
		c.RoomTone(quiet)
		c.Voice(voice)
		return c
	}
	c := hear()
	r, err := c.Result()
	if cut := r.Recommend.HighPass; err == nil && cut.On() && cut != setup.Chain.HighPass {
		setup.Chain.HighPass = cut
		behind, err := hear().Result()
		if err == nil {
			c.gainDB = behind.Recommend.OutputGainDB
			return c.Result()
		}
	}
	return r, err
}
