package preroll

import (
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/noise"
	"rollready/dsp/pair"
	"rollready/dsp/rack"
)

const pitchSeconds = 0.01 // how often the pitch is looked for

// room is what is measured of the room tone: noise as it leaves the chain,
// the low end as it comes in.
type room struct {
	asSet *path
	noise *noise.Meter
	low   *rack.Low
	dc    []float64 // an offset is there in the quiet too; a voice may be lopsided
}

func newRoom(rateHz, channels int, set chain.Settings) *room {
	r := &room{noise: noise.New(rateHz, channels), low: rack.NewLow(rateHz, channels, pitchSeconds)}
	r.asSet = newPath(rateHz, channels, set, r.noise.Process)
	return r
}

func (r *room) process(block []float32) {
	r.asSet.process(block)
	r.low.Room(block)
}

// finish works out what ends with the room tone.
func (r *room) finish(input *level.Meter) {
	r.low.Finish(1)
	for ch := range r.low.Channels {
		r.dc = append(r.dc, input.DCOffset(ch))
	}
}

// voice is what is measured of the voice.
type voice struct {
	asSet *peaks // after the chain as set
	cut   *peaks // the same with a high-pass that every voice bears
	noise *noise.Meter
	loud  *loudness.Meter
	pair  *pair.Group
	low   *rack.Low
}

// commonCut is a high-pass that leaves a deep voice alone and takes off what
// would otherwise be taken for speech peaks (common practice, no source).
var commonCut = filter.Cut{Hz: 80, Slope: 24}

func newVoice(rateHz, channels int, set chain.Settings, r *room) *voice {
	v := &voice{low: r.low.Voice(), noise: noise.New(rateHz, channels), loud: loudness.New(rateHz, channels), pair: pair.NewGroup(channels)}
	v.asSet = newPeaks(rateHz, channels, set, v.noise.Process, v.loud.Process)
	if set.HighPass.Slope < commonCut.Slope || set.HighPass.Hz < commonCut.Hz {
		set.HighPass = commonCut
	}
	v.cut = newPeaks(rateHz, channels, set)
	return v
}

// rateTop is above everything the low-rate spectra keep.
const rateTop = 1e6

func (v *voice) process(block []float32) {
	v.asSet.process(block)
	v.cut.process(block)
	v.low.Process(block)
	v.pair.Process(block)
}
