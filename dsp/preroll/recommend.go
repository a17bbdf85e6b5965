package preroll

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/verdict"
)

// Where the high-pass is looked for, in Hz (common practice, no source): below
// the first there is no voice, above the last a cut is an effect.
const (
	firstCutHz  = 40.0
	lastCutHz   = 120.0
	cutStepHz   = 5.0
	usualSlope  = 24
	lowUnderDB  = 50.0 // a low end so far under the voice needs no more
	outputTopDB = -1.0 // dBTP: the highest that leaves the chain
)

// recommend gives the settings that suit what was heard.
func (c *Check) recommend(f figures) Recommend {
	none := figure.Figure(math.NaN())
	if f.silent || !f.spoken {
		return Recommend{OutputGainDB: none, HighPassHz: none}
	}
	cut := c.highPass(f)
	gain := c.gainDB
	if !gain.Known() {
		gain = figure.Figure(c.outputGain(f, cut))
	}
	return Recommend{OutputGainDB: gain, HighPassHz: figure.Figure(cut.Hz), HighPass: cut, HandsDB: c.handsDB(f)}
}

// outputGain gives the gain that puts the speech peaks into the middle of the
// camera's target window, or as near to it as the loudest moments allow, once
// the hands have done what is asked of them.
func (c *Check) outputGain(f figures, cut filter.Cut) float64 {
	p := c.voice.asSet
	if cut.Hz >= 0.75*commonCut.Hz {
		p = c.voice.cut
	}
	now, scale, summed := c.setup.Chain.GainDB, c.camera(), c.voice.summedDB(c.channels)
	change := scale.Middle() - scale.Reads(p.speech(f.ch))
	for ch := range c.channels {
		loudest := p.loudest(ch)
		change = min(change, scale.Headroom(scale.Reads(loudest))-camera.OverDB, outputTopDB-loudest-summed)
	}
	return max(chain.MinGainDB, min(math.Round(10*(now+change-c.handsDB(f)))/10+0, chain.MaxGainDB))
}

// handsDB is what the findings ask of the hand at the interface, in dB: what is
// set here is to suit once that is done.
func (c *Check) handsDB(f figures) float64 {
	input := f.peakDBTP - c.setup.Chain.GainDB
	_, clipped := c.signal().Which(func(ch int) bool { return c.inputs.Level.ClippedRuns(ch) > 0 })
	switch {
	case clipped:
		input = max(input, 0)
	case input >= verdict.InputQuietDBTP && input <= verdict.InputHotDBTP:
		return 0
	}
	return math.Round(verdict.InputTargetDBTP - input)
}

// highPass gives the lowest cutoff that brings the room's low end under the
// rest of the room, or far under the voice, and that costs the fundamental no
// more than 1 dB; the highest that the voice bears where thumps or gusts come
// and go.
func (c *Check) highPass(f figures) filter.Cut {
	cut := filter.Cut{Slope: c.slope()}
	highest := min(lastCutHz, math.Floor(bearable(f.fundamentalHz, cut.Slope)/cutStepHz)*cutStepHz)
	room := c.room.low.Channels[f.ch].Quiet
	enough := max(room.Band(f.lowEndHz(), rateTop), db.ToPower(f.inputDBFS-db.SineRMS-lowUnderDB))
	for cut.Hz = firstCutHz; cut.Hz < highest; cut.Hz += cutStepHz {
		if !c.thumps(f, filter.Cut{}) && c.lowPower(f, cut) <= enough {
			break
		}
	}
	cut.Hz = min(cut.Hz, highest)
	return cut
}

func (c *Check) slope() int {
	if set := c.setup.Chain.HighPass; set.On() {
		return set.Slope
	}
	return usualSlope
}

// bearable gives the cutoff of a Butterworth high-pass that takes
// fundamentalDB off a frequency: |H|² = 1 / (1 + (cutoff/f)^2n).
func bearable(hz float64, slope int) float64 {
	order := float64(slope) / 6
	return hz * math.Pow(db.ToPower(fundamentalDB)-1, 1/(2*order))
}
