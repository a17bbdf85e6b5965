package preroll

import (
	"math"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/noise"
	"rollready/dsp/pair"
	"rollready/dsp/rack"
	"rollready/dsp/verdict"
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
	fed   *peaks // at the camera, where channels are summed there; else nil
	noise *noise.Meter
	loud  *loudness.Meter
	pair  *pair.Group
	low   *rack.Low
}

// commonCut is a high-pass that leaves a deep voice alone and takes off what
// would otherwise be taken for speech peaks (common practice, no source).
var commonCut = filter.Cut{Hz: 80, Slope: 24}

func newVoice(rateHz, channels int, setup Setup, r *room) *voice {
	set := setup.Chain
	v := &voice{low: r.low.Voice(), noise: noise.New(rateHz, channels), loud: loudness.New(rateHz, channels), pair: pair.NewGroup(channels)}
	to := []func([]float32){v.noise.Process, v.loud.Process}
	if setup.Summed != nil {
		v.fed = newPeaks(rateHz, 2, chain.Settings{})
		to = append(to, func(block []float32) { v.fed.process(setup.Summed(block)) })
	}
	v.asSet = newPeaks(rateHz, channels, set, to...)
	if set.HighPass.Slope < commonCut.Slope || set.HighPass.Hz < commonCut.Hz {
		set.HighPass = commonCut
	}
	v.cut = newPeaks(rateHz, channels, set)
	return v
}

// summedDB is by how much the voice gets higher where channels go to one of the
// camera's; 0 where it does not.
func (v *voice) summedDB(channels int) float64 {
	if v.fed == nil {
		return 0
	}
	alone := math.Inf(-1)
	for ch := range channels {
		alone = max(alone, v.asSet.speech(ch))
	}
	return verdict.SummedDB(max(v.fed.speech(0), v.fed.speech(1)), alone)
}

// rateTop is above everything the low-rate spectra keep.
const rateTop = 1e6

func (v *voice) process(block []float32) {
	v.asSet.process(block)
	v.cut.process(block)
	v.low.Process(block)
	v.pair.Process(block)
}
