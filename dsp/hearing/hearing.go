// Package hearing listens to the last seconds of a live input: whether somebody
// speaks, how loud, over what room, and through what wiring.
//
// A voice is told from a room by its structure: it comes and goes many times in
// ten seconds and is voiced, or, whispered, comes and goes as fast as syllables
// do. How loud it is says nothing.
//
// Where each channel is a person's own ([Ear.Part]), each is listened to by
// itself: of the moments in which somebody speaks, every one counts for the
// person it belongs to, and what spills into the other microphones is no voice
// there.
//
// Everything is measured at the input, so that a change of the chain's gain
// spoils no memory; only the peaks are taken behind the chain as well.
package hearing

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/gap"
	"rollready/dsp/hum"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/noise"
	"rollready/dsp/pitch"
	"rollready/dsp/strips"
)

// MaxChannels is the most channels an Ear hears.
const MaxChannels = strips.Max

// LevelSeconds is how much of a voice it takes to judge its level.
const LevelSeconds = 1.5

// KeptSeconds is how long a voice counts after it was last heard.
const KeptSeconds = 60

const (
	blocksPerSecond = 20
	looksPerSecond  = 4
	blocksPerLook   = blocksPerSecond / looksPerSecond
)

// Heard is what was heard in the last seconds. A plain value. Levels are those
// at the input unless said otherwise; −Inf is what is not known.
type Heard struct {
	Seconds       float64 // listened to
	SpokenSeconds float64 // of them with a voice, pauses between words left out
	PauseSeconds  float64 // since a voice was last heard; +Inf: never
	Voice         int     // channel in which the voice is loudest
	Correlation   float64 // of two channels while somebody speaks, above 100 Hz; 0: not known
	MonoDB        float64 // left of both channels in mono, the same
	Channels      [MaxChannels]Channel
}

// Channel is what was heard in one channel.
type Channel struct {
	SpokenSeconds float64 // as of all; where each channel is a person's, of that person
	PauseSeconds  float64
	SpeechDBTP    float64 // peaks of the voice
	SpeechOutDBTP float64 // the same behind the chain
	VoiceDBFS     float64 // level of the voice without the room
	FloorDBFS     float64 // level between the words, or of the room
	OverRoomDBA   float64 // voice over room, A-weighted
	RoomHeard     bool    // the quiet moments are steady: it is the room that is heard
	DC            float64 // of full scale
	FundamentalHz float64 // of a deep part of the voice
	Hum           Hum
	LowDBFS       float64 // between the words, under the voice
	GustsDB       float64 // swing of the low end
	Thumps        int     // moments of the last ten seconds with a low end nearly as loud as the voice
	Windy         float64 // share of time with a low end that no voice has
	Breaks        int64   // times the sound broke off since the ear began
	Dips, Cracks  int64   // the same, that clipping may make as well
}

// Hum is the mains hum of a channel.
type Hum struct {
	Present   bool
	MainsHz   int
	LevelDBFS float64
	LoudestHz float64 // its strongest line
}

// Ear hears a stream. One goroutine uses it.
type Ear struct {
	rateHz, channels int
	size, filled     int // frames of a block
	blocks           int64
	decimator        *lowrate.Decimator
	gaps             *gap.Meter
	ch               []*channel
	both             both
	heard            Heard
	people           bool                 // each channel is a person's
	lift             [MaxChannels]float64 // power by which a channel counts louder where that is told apart
}

// New makes an ear for interleaved frames of 1 to MaxChannels channels; all memory but
// some of the spectra's is taken here.
func New(rateHz, channels int) *Ear {
	e := &Ear{rateHz: rateHz, channels: channels, size: max(1, rateHz/blocksPerSecond)}
	e.lift = [MaxChannels]float64{1, 1, 1, 1}
	e.Reset()
	return e
}

// Part lets each channel be a person's own from now on, or no longer. What was
// heard is forgotten where that is news.
func (e *Ear) Part(on bool) {
	if e.people != on {
		e.people = on
		e.Reset()
	}
}

// SetBorder says by how many dB the first channel is louder than the second
// where one person's moments end and the other's begin: 0 until told otherwise.
func (e *Ear) SetBorder(dB float64) { e.lift[1] = db.ToPower(dB) }

// Reset forgets everything, as after a change of input.
func (e *Ear) Reset() {
	e.filled, e.blocks, e.ch = 0, 0, nil
	low := lowrate.Rate(e.rateHz)
	for range e.channels {
		k := &channel{energy: noise.NewBlock(e.rateHz), pitch: pitch.New(1.0/blocksPerSecond, low), low: lowend.NewBlock(low)}
		for i := range k.narrow {
			k.narrow[i] = hum.NewSpectrum(e.rateHz)
		}
		e.ch = append(e.ch, k)
	}
	e.both = both{}
	e.decimator = lowrate.New(e.rateHz, e.channels, e.takeLow)
	e.gaps = gap.New(e.rateHz, e.channels)
	e.heard = Heard{PauseSeconds: math.Inf(1)}
	for c := range e.heard.Channels {
		e.heard.Channels[c] = unknown()
	}
}

func unknown() Channel {
	no := math.Inf(-1)
	return Channel{PauseSeconds: math.Inf(1), SpeechDBTP: no, SpeechOutDBTP: no, VoiceDBFS: no, FloorDBFS: no, LowDBFS: no}
}

// Of gives what was heard of one person, as of a single channel.
func (h *Heard) Of(channel int) Heard {
	c := h.Channels[channel]
	one := Heard{Seconds: h.Seconds, SpokenSeconds: c.SpokenSeconds, PauseSeconds: c.PauseSeconds}
	one.Channels[0] = c
	return one
}

// Heard gives what was heard, as of the last quarter of a second.
func (e *Ear) Heard() Heard { return e.heard }

// Process takes interleaved frames before and behind the chain, equally many.
// It allocates only every few seconds, where a spectrum is looked at.
func (e *Ear) Process(input, output []float32) {
	n := e.channels
	for frames := min(len(input), len(output)) / n; frames > 0; {
		take := min(frames, e.size-e.filled)
		in, out := input[:take*n], output[:take*n]
		for c, k := range e.ch {
			k.energy.Process(in[c:], n)
			k.now.in, k.now.out = peak(in[c:], n, k.now.in), peak(out[c:], n, k.now.out)
		}
		e.decimator.Process(in)
		e.gaps.Process(in)
		input, output, frames = input[take*n:], output[take*n:], frames-take
		if e.filled += take; e.filled == e.size {
			e.endBlock()
		}
	}
}

// peak gives the highest sample of a channel, or what was higher.
func peak(x []float32, stride int, highest float32) float32 {
	for i := 0; i < len(x); i += stride {
		if v := x[i]; v > highest {
			highest = v
		} else if -v > highest {
			highest = -v
		}
	}
	return highest
}

// takeLow takes a channel's sound at the low rate.
func (e *Ear) takeLow(c int, x []float64) {
	k := e.ch[c]
	k.follow(x)
	k.low.Process(x)
	if clean := k.pitch.Process(x); e.channels == 2 {
		e.both.add(c, clean)
	}
}

func (e *Ear) endBlock() {
	e.filled = 0
	for _, k := range e.ch {
		k.endBlock(e.blocks)
	}
	e.both.endBlock(e.blocks)
	if e.blocks++; e.blocks%blocksPerLook == 0 {
		e.look()
	}
}
