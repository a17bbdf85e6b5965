package preroll

import (
	"math"
	"slices"

	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/heard"
	"rollready/dsp/hum"
	"rollready/dsp/verdict"
)

// Limits of the judgement (common practice, no source); those that others share
// are in verdict.
const (
	buriedDB = 3.0  // low end under everything heard: it is the most of it
	gustyDB  = 10.0 // the same where it comes in gusts
	thumpHz  = 30.0 // where thumps have most of their power
)

var standsOut = db.ToPower(verdict.StandsOutDB)

// judge lists what is found, in no order.
func (c *Check) judge(f figures, advice Recommend) []verdict.Finding {
	found := []verdict.Finding{}
	if f.silent {
		return append(found, verdict.NothingComesIn())
	}
	if c.setup.Muted {
		found = append(found, verdict.NoneSent())
	}
	found = append(found, c.judgeInputs()...)
	if !f.spoken {
		return append(found, c.judgeUnspoken(f)...)
	}
	found = append(found, c.judgePair(f)...)
	found = append(found, c.judgeLevel(f, float64(advice.OutputGainDB))...)
	found = append(found, c.judgeHum(f)...)
	found = append(found, c.judgeLowEnd(f, advice.HighPass)...)
	if noisy, is := verdict.Room(f.snrDBA); is {
		if c.setup.unquiet {
			noisy = verdict.NotQuiet(noisy.Severity)
		}
		found = append(found, noisy)
	}
	return found
}

// judgeUnspoken judges what came in where no voice was found: why there was none
// may be just that.
func (c *Check) judgeUnspoken(f figures) []verdict.Finding {
	scale := c.camera()
	f.inputDBFS = math.NaN()
	found := append(c.judgeHum(f), c.judgeBuried(f)...)
	if sound, is := verdict.Unspoken(c.signal().Name(f.ch), f.peakDBTP-c.setup.Chain.GainDB); is && !c.overloaded() {
		found = append(found, sound)
	}
	if headroom := scale.Headroom(scale.Reads(c.loudest())); headroom < verdict.OverloadDB {
		found = append(found, verdict.UnspokenOver(-headroom))
	}
	if c.setup.unquiet {
		return append(found, verdict.NotQuiet(verdict.Stop))
	}
	if noisy, is := verdict.RoomAtCamera(scale.Reads(f.roomDBA), scale.Middle()); is {
		found = append(found, noisy)
	}
	return append(found, verdict.NobodySpeaks())
}

// camera is its scale for what leaves the chain of a channel.
func (c *Check) camera() camera.Scale {
	scale := c.setup.Camera
	scale.OffsetDB += c.voice.summedDB(c.channels)
	return scale
}

// loudest is the highest peak behind the chain, of all channels.
func (c *Check) loudest() float64 {
	top := math.Inf(-1)
	for ch := range c.channels {
		top = max(top, c.voice.asSet.loudest(ch))
	}
	return top
}

func (c *Check) judgeInputs() []verdict.Finding {
	found := c.inputs.Findings(c.signal(), c.setup.Dropouts)
	if c.setup.Dropouts == 0 && math.IsInf(c.room.noise.MeanDBFS(0), -1) { // zeros are the source's own silence
		found = slices.DeleteFunc(found, func(f verdict.Finding) bool { return f.Code == verdict.Dropouts })
	}
	return append(found, c.signal().Beyond(verdict.OffsetLimit, c.offset, verdict.Offset)...)
}

// offset is that of a channel in the room and in all that was heard: a short room
// in the wind has one by chance, a voice that is clipped another.
func (c *Check) offset(ch int) float64 {
	all := c.inputs.Level.DCOffset(ch)
	if room := c.room.dc[ch]; math.Abs(room) < math.Abs(all) {
		return room
	}
	return all
}

// signal is how the channels are called.
func (c *Check) signal() verdict.Signal { return verdict.Signal{Channels: c.channels} }

// overloaded tells whether any input is.
func (c *Check) overloaded() bool {
	_, any := c.signal().Which(c.inputs.Overloaded)
	return any
}

func (c *Check) judgePair(f figures) []verdict.Finding {
	return heard.Channels(c.signal(), f.ch, func(other int) float64 {
		return c.voice.noise.VoiceDBA(f.ch, f.roomDBA) - c.voice.noise.VoiceDBA(other, c.room.noise.MeanDBA(other))
	}, c.voice.pair)
}

// judgeLevel judges the speech peaks at the interface, then at the camera. Where
// the hands are to turn the interface down, what is too low at the camera comes
// later: what is recommended suits once they have.
func (c *Check) judgeLevel(f figures, gainDB float64) (found []verdict.Finding) {
	hands := c.handsDB(f)
	placed := verdict.Placed{SpeechDBTP: f.peakDBTP + hands, LoudestDBTP: c.loudest() + hands, GainDB: c.setup.Chain.GainDB, SuitsDB: gainDB}
	switch input := f.peakDBTP - c.setup.Chain.GainDB; {
	case input > verdict.InputHotDBTP && !c.overloaded(): // else that is said already
		hot := verdict.InterfaceHot(c.signal().Name(f.ch), input)
		if c.camera().Headroom(c.camera().Reads(placed.LoudestDBTP-hands)) < verdict.OverloadDB {
			hot = hot.With(verdict.Stop) // the camera overloads as well
		}
		found = append(found, hot)
	case input < verdict.InputQuietDBTP:
		return append(found, verdict.InterfaceQuiet(c.signal().Name(f.ch), input))
	}
	if level, is := verdict.AtCamera(c.camera(), placed); is && !(hands < 0 && level.Code == verdict.TooQuiet) {
		found = append(found, level)
	}
	return found
}

func (c *Check) judgeHum(f figures) []verdict.Finding {
	return c.signal().Hums(c.humming, f.inputDBFS)
}

// humming is the hum of the room, where there is none the buzz of a telephone in
// the quietest moments of all: it comes and goes.
func (c *Check) humming(ch int) verdict.Humming {
	h := c.room.low.Humming(ch)
	if later := c.voice.low.Humming(ch); !h.Present && later.Present && later.MainsHz == hum.Buzz {
		return later
	}
	return h
}

// judgeLowEnd judges what the high-pass as set leaves of rumble, wind and
// thumps.
func (c *Check) judgeLowEnd(f figures, advice filter.Cut) []verdict.Finding {
	set := c.setup.Chain.HighPass
	cutHz := advice.Hz
	if set.On() && set.Hz >= advice.Hz {
		cutHz = 0 // it is as high as it may be
	}
	low := c.lowPower(f, set)
	under := f.inputDBFS - db.RMS(low)
	switch {
	case under < verdict.RumbleDB && (c.gusty(f) || low > standsOut*c.room.low.Channels[f.ch].Quiet.Band(f.lowEndHz(), rateTop)):
		return c.rumbling(f, under, cutHz)
	case c.thumps(f, set):
		return []verdict.Finding{verdict.Thumps(cutHz)}
	}
	return nil
}

// rumbling tells wind from steady rumble.
func (c *Check) rumbling(f figures, underDB, cutHz float64) []verdict.Finding {
	if c.gusty(f) {
		return []verdict.Finding{verdict.Wind(underDB, cutHz)}
	}
	return []verdict.Finding{verdict.LowRumble(underDB, cutHz)}
}

// gusty tells whether the low end comes and goes.
func (c *Check) gusty(f figures) bool {
	return c.room.low.Channels[f.ch].End.GustsDB() > verdict.GustsDB
}

// judgeBuried judges the low end where no voice was found: it may be what
// buries the voice, being most of what was heard.
func (c *Check) judgeBuried(f figures) []verdict.Finding {
	heard := c.voice.noise.MeanDBFS(f.ch) - c.setup.Chain.GainDB
	under := heard - db.RMS(c.lowPower(f, c.setup.Chain.HighPass))
	if under < buriedDB || under < gustyDB && c.gusty(f) {
		return c.rumbling(f, under, commonCut.Hz)
	}
	return nil
}

// thumps tells whether thumps stand out of the voice behind a high-pass.
func (c *Check) thumps(f figures, cut filter.Cut) bool {
	kept := filter.ResponseDB(filter.HighPass(cut, c.rateHz), thumpHz, float64(c.rateHz))
	return c.voice.low.Channels[f.ch].End.BareThumps(f.inputDBFS-verdict.ThumpDB-kept) >= verdict.LeastThumps
}
