package preroll

import (
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/hum"
	"rollready/dsp/level"
	"rollready/dsp/loudness"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/noise"
	"rollready/dsp/pair"
	"rollready/dsp/pitch"
	"rollready/dsp/spectrum"
)

// room is what is measured of the room tone: noise as it leaves the chain,
// the low end as it comes in.
type room struct {
	asSet  *path
	noise  *noise.Meter
	low    *lowrate.Decimator
	narrow []*spectrum.Welch
	ends   []*lowend.Meter
	pitch  []*pitch.Tracker   // they will follow the voice
	quiet  []spectrum.Average // once finished
	hum    []hum.Hum
	dc     []float64 // an offset is there in the quiet too; a voice may be lopsided
}

func newRoom(rateHz, channels int, set chain.Settings) *room {
	r := &room{noise: noise.New(rateHz, channels)}
	r.asSet = newPath(rateHz, channels, set, r.noise.Process)
	for range channels {
		r.narrow = append(r.narrow, hum.NewSpectrum(rateHz))
		r.ends = append(r.ends, lowend.New(lowrate.Rate(rateHz)))
		r.pitch = append(r.pitch, pitch.New(lowrate.Rate(rateHz)))
	}
	r.low = lowrate.New(rateHz, channels, func(c int, x []float64) {
		r.narrow[c].Process(x)
		r.ends[c].Process(x)
		r.pitch[c].Room(x)
	})
	return r
}

func (r *room) process(block []float32) {
	r.asSet.process(block)
	r.low.Process(block)
}

// finish works out what ends with the room tone.
func (r *room) finish(input *level.Meter) {
	for ch, n := range r.narrow {
		r.dc = append(r.dc, input.DCOffset(ch))
		n.Flush()
		average := n.Quiet(1)
		r.quiet = append(r.quiet, average)
		r.hum = append(r.hum, hum.Find(average))
	}
}

// voice is what is measured of the voice.
type voice struct {
	asSet *peaks // after the chain as set
	cut   *peaks // the same with a high-pass that every voice bears
	noise *noise.Meter
	loud  *loudness.Meter
	pair  *pair.Group
	low   *lowrate.Decimator
	pitch []*pitch.Tracker
	ends  []*lowend.Meter
}

// commonCut is a high-pass that leaves a deep voice alone and takes off what
// would otherwise be taken for speech peaks (common practice, no source).
var commonCut = filter.Cut{Hz: 80, Slope: 24}

func newVoice(rateHz, channels int, set chain.Settings, r *room) *voice {
	v := &voice{pitch: r.pitch, noise: noise.New(rateHz, channels), loud: loudness.New(rateHz, channels), pair: pair.NewGroup(channels)}
	v.asSet = newPeaks(rateHz, channels, set, v.noise.Process, v.loud.Process)
	if set.HighPass.Slope < commonCut.Slope || set.HighPass.Hz < commonCut.Hz {
		set.HighPass = commonCut
	}
	v.cut = newPeaks(rateHz, channels, set)
	for range channels {
		v.ends = append(v.ends, lowend.New(lowrate.Rate(rateHz)))
	}
	v.low = lowrate.New(rateHz, channels, func(c int, x []float64) {
		v.pitch[c].Process(x)
		v.ends[c].Process(x)
	})
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
