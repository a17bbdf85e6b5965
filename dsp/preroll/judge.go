package preroll

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/finding"
)

// Limits of the judgement (common practice, no source); those that a report
// shares are in finding.
const (
	hotInputDBTP   = -3.0  // speech peaks at the input
	quietInputDBTP = -40.0 // the same
	farBelowDB     = 6.0   // under the target window: more than a matter of taste
	overloadDB     = 0.5   // headroom of the loudest moments: less is overload
	standsOut      = 1.6   // power of the low end over the rest of the room that is rumble, not noise
	buriedDB       = 3.0   // low end under everything heard: it is the most of it
	gustyDB        = 10.0  // the same where it comes in gusts
	thumpUnderDB   = 6.0   // thumps stand out that reach so far under the voice
	thumpHz        = 30.0  // where thumps have most of their power
	leastThumps    = 2
)

// judge lists what is found, in no order.
func (c *Check) judge(f figures, advice Recommend) []finding.Finding {
	found := []finding.Finding{}
	holes := c.setup.Dropouts
	if !math.IsInf(f.roomDBFS, -1) { // else zeros are the source's own silence
		holes += c.inputs.gap.Count()
	}
	if holes > 0 {
		found = append(found, finding.FramesLost(holes))
	}
	if f.silent {
		return append(found, finding.NothingComesIn())
	}
	found = append(found, c.judgeInputs()...)
	if !f.spoken {
		found = append(found, c.judgeBuried(f)...)
		return append(found, finding.NobodySpeaks())
	}
	found = append(found, c.judgePair(f)...)
	found = append(found, c.judgeLevel(f, float64(advice.OutputGainDB))...)
	found = append(found, c.judgeHum(f)...)
	found = append(found, c.judgeLowEnd(f, advice.HighPass)...)
	if noisy, is := finding.Room(f.snrDBA); is {
		found = append(found, noisy)
	}
	return found
}

func (c *Check) judgeInputs() (found []finding.Finding) {
	for ch := range c.channels {
		name, level := c.name(ch), c.inputs.level
		if runs := level.ClippedRuns(ch); runs > 0 {
			found = append(found, finding.Clipped(name, runs))
		}
		if tops := level.FlatTops(ch); tops > 0 {
			found = append(found, finding.FlatTops(name, tops))
		}
		if dc := c.room.dc[ch]; math.Abs(dc) > finding.OffsetLimit {
			found = append(found, finding.Offset(name, dc))
		}
	}
	return found
}

// clipped tells whether any input overloaded.
func (c *Check) clipped() bool {
	for ch := range c.channels {
		if c.inputs.level.ClippedRuns(ch) > 0 {
			return true
		}
	}
	return false
}

// name gives the number of a channel, 0 where there is only one.
func (c *Check) name(ch int) int {
	if c.channels == 1 {
		return 0
	}
	return ch + 1
}

func (c *Check) judgePair(f figures) []finding.Finding {
	if c.channels != 2 {
		return nil
	}
	other := 1 - f.ch
	apart := c.voice.noise.VoiceDBA(f.ch, f.roomDBA) - c.voice.noise.VoiceDBA(other, c.room.noise.MeanDBA(other))
	return finding.Pair(apart, other+1, c.voice.pair.Correlation(), c.voice.pair.MonoDB())
}

// judgeLevel judges the speech peaks at the interface, then at the camera.
func (c *Check) judgeLevel(f figures, gainDB float64) (found []finding.Finding) {
	switch input := f.peakDBTP - c.setup.Chain.GainDB; {
	case input > hotInputDBTP && !c.clipped(): // else that is said already
		found = append(found, finding.InterfaceHot(c.name(f.ch), input))
	case input < quietInputDBTP:
		return append(found, finding.InterfaceQuiet(c.name(f.ch), input))
	}
	scale := c.setup.Camera
	reads := scale.Reads(f.peakDBTP)
	loudest := math.Inf(-1)
	for ch := range c.channels {
		loudest = max(loudest, scale.Reads(c.voice.asSet.loudest(ch)))
	}
	below := scale.TargetLowDBFS - reads
	suffices := gainDB-c.setup.Chain.GainDB >= below
	switch {
	case scale.Headroom(loudest) < overloadDB:
		found = append(found, finding.CameraOver(scale.Headroom(loudest), gainDB))
	case reads > scale.TargetHighDBFS:
		found = append(found, finding.CameraHot(reads-scale.TargetHighDBFS, gainDB))
	case below > farBelowDB:
		found = append(found, finding.CameraQuiet(finding.Caution, below, gainDB, suffices))
	case below > 0:
		found = append(found, finding.CameraQuiet(finding.Info, below, gainDB, suffices))
	}
	return found
}

func (c *Check) judgeHum(f figures) (found []finding.Finding) {
	for ch, h := range f.hum {
		if !h.Present {
			continue
		}
		under := f.inputDBFS - h.LevelDBFS
		severity := finding.HumSeverity(under)
		found = append(found, finding.MainsHum(severity, c.name(ch), h.MainsHz, h.LevelDBFS, under))
	}
	return found
}

// judgeLowEnd judges what the high-pass as set leaves of rumble, wind and
// thumps.
func (c *Check) judgeLowEnd(f figures, advice filter.Cut) []finding.Finding {
	set := c.setup.Chain.HighPass
	cutHz := advice.Hz
	if set.On() && set.Hz >= advice.Hz {
		cutHz = 0 // it is as high as it may be
	}
	low := c.lowPower(f, set)
	under := f.inputDBFS - db.RMS(low)
	switch {
	case under < finding.RumbleDB && (c.gusty(f) || low > standsOut*c.room.quiet[f.ch].Band(f.lowEndHz(), rateTop)):
		return c.rumbling(f, under, cutHz)
	case c.thumps(f, set):
		return []finding.Finding{finding.Thumps(cutHz)}
	}
	return nil
}

// rumbling tells wind from steady rumble.
func (c *Check) rumbling(f figures, underDB, cutHz float64) []finding.Finding {
	if c.gusty(f) {
		return []finding.Finding{finding.Wind(underDB, cutHz)}
	}
	return []finding.Finding{finding.LowRumble(underDB, cutHz)}
}

// gusty tells whether the low end comes and goes.
func (c *Check) gusty(f figures) bool { return c.room.ends[f.ch].GustsDB() > finding.GustsDB }

// judgeBuried judges the low end where no voice was found: it may be what
// buries the voice, being most of what was heard.
func (c *Check) judgeBuried(f figures) []finding.Finding {
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
	return c.voice.ends[f.ch].Thumps(f.inputDBFS-thumpUnderDB-kept) >= leastThumps
}
