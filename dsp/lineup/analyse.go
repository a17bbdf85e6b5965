package lineup

import (
	"math"

	"rollready/dsp/lineup/find"
	"rollready/dsp/lineup/sequence"
)

// Limits of a clip.
const (
	MinRateHz   = 16000
	MaxRateHz   = 192000
	MaxChannels = 16
)

// Measure measures the sequence in part of a clip. The place is given from
// the start of that part, which should reach from before the start marker to
// a second after the beginning of the end marker. The error is a *find.Refusal
// that says why the clip can't be used.
func Measure(part []float32, rateHz, channels int, place find.Place) (Result, error) {
	r := newRecording(part, rateHz, channels)
	r.align(place)
	all := r.heard()
	main := loudest(all)
	if main < 0 {
		return Result{}, find.Refuse(find.TooFaint, "the tone hardly rises above the other sound in the clip: raise the output or the camera's mic level and record again where it is quiet, or choose another clip")
	}
	if err := r.whole(main); err != nil {
		return Result{}, err
	}
	return r.result(all, main)
}

// heardChannel is a channel with its ladder and what that says at first.
type heardChannel struct {
	Channel
	rungs []rung
	low   float64 // gain in dB at low level
}

// heard measures the ladder of every channel that carries one.
func (r *recording) heard() []heardChannel {
	list := make([]heardChannel, len(r.channels))
	for c := range list {
		list[c] = heardChannel{Channel: Channel{Carries: Nothing, OffsetDB: none, Polarity: Normal}}
		rungs := r.ladder(c)
		if low, ok := lowGain(rungs); ok && len(clearRungs(rungs, math.Inf(-1), 0, 16)) >= 8 {
			list[c].Carries, list[c].rungs, list[c].low = r.carries(c), rungs, low
		}
	}
	return list
}

// loudest gives the channel with the most gain, which overloads first; −1 if
// none carries anything.
func loudest(all []heardChannel) int {
	best := -1
	for c, h := range all {
		if h.rungs != nil && h.Carries != Nothing && (best < 0 || h.low > all[best].low) {
			best = c
		}
	}
	return best
}

// result puts everything together; main is the channel whose figures stand
// for the camera.
func (r *recording) result(all []heardChannel, main int) (Result, error) {
	h := all[main]
	res := Result{RateHz: r.rateHz, ClockPPM: (r.perSec/float64(r.rateHz) - 1) * 1e6}
	res.NoiseDBFS, res.NoiseDBA = r.noise(main)
	res.ClipDBFS, res.Clip = clipping(h.rungs, h.low)
	held := none
	if res.Clip.Kind == Limited {
		held = res.Clip.CompressionDBFS
	}
	res.AutomaticLevel, res.Limiter = r.automatic(main, h.rungs, h.low, held)
	if res.AutomaticLevel.On {
		res.ClipDBFS, res.Clip = levelledClip(res.Clip)
	}
	if res.ClipDBFS.Known() && res.ClipDBFS < sequence.LowestDBFS+4 {
		return Result{}, find.Refuse(find.Overloaded, "the camera's input is overloaded even by the faintest tone sent: set its mic level to the lowest, put a pad in, and send again")
	}
	res.Channels = r.offsets(all, res)
	res.Wiring = wiring(res.Channels)
	res.OffsetDB, res.Polarity = res.Channels[main].OffsetDB, res.Channels[main].Polarity
	res.DistortionPercent = r.alignDistortion(main)
	if !res.AutomaticLevel.On && !(res.ClipDBFS < sequence.AlignDBFS+3) {
		res.Response = r.response(main)
		res.LowCut, res.HighCut = lowCut(res.Response), highCut(res.Response)
	}
	res.place()
	res.Advice = res.advise()
	res.tidy()
	return res, nil
}

// levelledClip keeps of the clip point what an automatic level leaves
// meaningful: real distortion.
func levelledClip(c Clip) (Figure, Clip) {
	c.CompressionDBFS = none
	c.Kind = NoClip
	if c.OnePercentDBFS.Known() {
		c.Kind = HardClip
	}
	return c.OnePercentDBFS, c
}

// offsets gives every channel its polarity and its offset: the gain well below the clip point
// or, under an automatic level, that of the settled tone.
func (r *recording) offsets(all []heardChannel, res Result) []Channel {
	list := make([]Channel, len(all))
	for c, h := range all {
		list[c] = h.Channel
		if h.rungs == nil || h.Carries == Nothing {
			continue
		}
		clip, _ := clipping(h.rungs, h.low)
		if !clip.Known() {
			clip = 0
		}
		list[c].Polarity = r.polarity(c, float64(clip))
		gain, ok := linearGain(h.rungs, float64(clip))
		if res.AutomaticLevel.On {
			gain, ok = r.trace(c, sequence.Find(sequence.Before), longWindow, settleHead).mean(3, 4), true
		}
		if ok {
			list[c].OffsetDB = Figure(gain)
		}
	}
	return list
}

// alignDistortion is the harmonic distortion in percent at alignment level,
// once the tone has settled.
func (r *recording) alignDistortion(channel int) Figure {
	var p probe
	read := p.read(r.core(channel, sequence.Find(sequence.Before), 1, 0.1), sequence.ToneHz/r.perSec)
	return Figure(100 * read.distortion())
}
