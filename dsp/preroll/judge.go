package preroll

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/finding"
)

// Limits of the judgement (common practice, no source).
const (
	hotInputDBTP   = -3.0  // speech peaks at the input
	quietInputDBTP = -40.0 // the same
	farBelowDB     = 6.0   // under the target window: more than a matter of taste
	noisyDB        = 20.0  // voice over room, A-weighted: the room is heard
	drownedDB      = 10.0  // the same: the words suffer
	humStopDB      = 20.0  // hum so far under the voice is louder than anything else
	humCautionDB   = 50.0  // it is heard in pauses
	rumbleDB       = 30.0  // low end under the voice
	gustsDB        = 6.0   // swing of the low end that is wind's
	thumpUnderDB   = 6.0   // thumps stand out that reach so far under the voice
	thumpHz        = 30.0  // where thumps have most of their power
	leastThumps    = 2
	offsetLimit    = 0.004 // of full scale
	deadDB         = 40.0  // between the channels
	inverted       = -0.7  // correlation
	cancelsDB      = -3.0  // left of both channels in mono
)

// judge lists what is found, in no order.
func (c *Check) judge(f figures, advice Recommend) []finding.Finding {
	found := []finding.Finding{}
	if holes := c.setup.Dropouts + c.inputs.gap.Count(); holes > 0 {
		found = append(found, finding.FramesLost(holes))
	}
	if f.silent {
		return append(found, finding.NothingComesIn())
	}
	found = append(found, c.judgeInputs()...)
	if !f.spoken {
		return append(found, finding.NobodySpeaks())
	}
	found = append(found, c.judgePair(f)...)
	found = append(found, c.judgeLevel(f, float64(advice.OutputGainDB))...)
	found = append(found, c.judgeHum(f)...)
	found = append(found, c.judgeLowEnd(f, advice.HighPass)...)
	switch {
	case f.snrDBA < drownedDB:
		found = append(found, finding.Noisy(finding.Stop, f.snrDBA))
	case f.snrDBA < noisyDB:
		found = append(found, finding.Noisy(finding.Caution, f.snrDBA))
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
		if dc := level.DCOffset(ch); math.Abs(dc) > offsetLimit {
			found = append(found, finding.Offset(name, dc))
		}
	}
	return found
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
	apart := f.voiceDBFS - c.voice.noise.VoiceDBFS(other, c.room.noise.MeanDBFS(other))
	switch p := c.voice.pair; {
	case apart > deadDB:
		return []finding.Finding{finding.Dead(other + 1)}
	case p.Correlation() < inverted:
		return []finding.Finding{finding.Inverted()}
	case p.MonoDB() < cancelsDB:
		return []finding.Finding{finding.Cancels(-p.MonoDB())}
	}
	return nil
}

// judgeLevel judges the speech peaks at the interface, then at the camera.
func (c *Check) judgeLevel(f figures, gainDB float64) (found []finding.Finding) {
	switch input := f.peakDBTP - c.setup.Chain.GainDB; {
	case input > hotInputDBTP:
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
	switch below := scale.TargetLowDBFS - reads; {
	case scale.Headroom(loudest) < overloadDB:
		found = append(found, finding.CameraOver(scale.Headroom(loudest), gainDB))
	case reads > scale.TargetHighDBFS:
		found = append(found, finding.CameraHot(reads-scale.TargetHighDBFS, gainDB))
	case below > farBelowDB:
		found = append(found, finding.CameraQuiet(finding.Caution, below, gainDB))
	case below > 0:
		found = append(found, finding.CameraQuiet(finding.Info, below, gainDB))
	}
	return found
}

// overloadDB is the headroom under which the loudest moments count as overload.
const overloadDB = 0.5

func (c *Check) judgeHum(f figures) (found []finding.Finding) {
	for ch, h := range f.hum {
		if !h.Present {
			continue
		}
		severity, under := finding.Info, f.inputDBFS-h.LevelDBFS
		switch {
		case under < humStopDB:
			severity = finding.Stop
		case under < humCautionDB:
			severity = finding.Caution
		}
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
	under := f.inputDBFS - db.RMS(c.lowPower(f, set))
	switch {
	case under < rumbleDB && c.room.ends[f.ch].GustsDB() > gustsDB:
		return []finding.Finding{finding.Wind(under, cutHz)}
	case under < rumbleDB:
		return []finding.Finding{finding.LowRumble(under, cutHz)}
	case c.thumps(f, set):
		return []finding.Finding{finding.Thumps(cutHz)}
	}
	return nil
}

// thumps tells whether thumps stand out of the voice behind a high-pass.
func (c *Check) thumps(f figures, cut filter.Cut) bool {
	kept := filter.ResponseDB(filter.HighPass(cut, c.rateHz), thumpHz, float64(c.rateHz))
	return c.voice.ends[f.ch].Thumps(f.inputDBFS-thumpUnderDB-kept) >= leastThumps
}
