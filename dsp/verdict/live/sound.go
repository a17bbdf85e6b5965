package live

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/hearing"
	"rollready/dsp/verdict"
)

// Limits of our own (common practice, no source); the others are in verdict.
const (
	lowHz       = 35.0  // where rumble, wind and thumps have most of their power
	cutOffDB    = 12.0  // a high-pass that takes so much off them has done its work
	mostDB      = 4.0   // rumble so far under all of the room is most of it
	windyShare  = 0.05  // of the time
	rumbleShare = 0.30  // the same, where it does not come in gusts
	toneDB      = 1.5   // a low end that swings less is a hum
	faintDBFS   = -70.0 // hum below is not heard of without a voice
	usualCutHz  = 80.0
	cutStepHz   = 5.0
	bearable    = 0.89 // of a fundamental: a cutoff there costs it 1 dB at 24 dB per octave
)

// judgeSound finds what is wrong with the sound, whatever its level.
func judgeSound(r *dsp.Reading, s *Situation, said verdict.Finding) (found []verdict.Finding) {
	h := &r.Heard
	in := verdict.Signal{Channels: r.Channels}
	if !s.Chain.HighPass.On() {
		found = append(found, in.Beyond(verdict.OffsetLimit, func(c int) float64 { return h.Channels[c].DC }, verdict.Offset)...)
	}
	voice := &h.Channels[h.Voice]
	spoken := h.SpokenSeconds >= soundSeconds && !math.IsInf(voice.VoiceDBFS, -1) && h.PauseSeconds < keptSeconds
	found = append(found, steadily(judgeHum(r, s, spoken), said)...)
	if !spoken {
		return found
	}
	if r.Channels == 2 {
		other := 1 - h.Voice
		found = append(found, verdict.Pair(voice.VoiceDBFS-h.Channels[other].VoiceDBFS, in.Name(h.Voice), in.Name(other), h.Correlation, h.MonoDB)...)
	}
	if noisy, is := overRoom(voice.OverRoomDBA, said); is && voice.RoomHeard {
		found = append(found, noisy)
	}
	return append(found, judgeLow(r, s, voice)...)
}

// overRoom judges the voice over the room; the limits are wider for what is said.
func overRoom(snrDBA float64, said verdict.Finding) (f verdict.Finding, found bool) {
	noisy, drowned := verdict.NoisyDB, verdict.DrownedDB
	switch {
	case said.Code == verdict.NoiseHigh && said.Severity == verdict.Stop:
		noisy, drowned = noisy+sticky, drowned+sticky
	case said.Code == verdict.NoiseHigh:
		noisy, drowned = noisy+sticky, drowned-sticky
	case said.Severity == verdict.Good:
		noisy -= sticky
	}
	switch {
	case snrDBA < drowned:
		return verdict.Noisy(verdict.Stop, snrDBA), true
	case snrDBA < noisy:
		return verdict.Noisy(verdict.Caution, snrDBA), true
	}
	return verdict.Finding{}, false
}

// steadily keeps the severity of a hum that is said already, unless it has become
// much worse or less: one step up or down is the voice's doing.
func steadily(found []verdict.Finding, said verdict.Finding) []verdict.Finding {
	if len(found) == 1 && said.Code == verdict.Hum && found[0].Severity != said.Severity && found[0].Severity != verdict.Info {
		found[0] = found[0].With(verdict.Stop)
	}
	return found
}

// leaves is what the chain leaves of a frequency, beside its gain, in dB.
func leaves(r *dsp.Reading, s *Situation, hz float64) float64 {
	return s.Chain.ResponseDB(hz, r.RateHz) - s.Chain.GainDB
}

func judgeHum(r *dsp.Reading, s *Situation, spoken bool) []verdict.Finding {
	h := &r.Heard
	voice := math.NaN()
	if spoken {
		voice = h.Channels[h.Voice].VoiceDBFS
	}
	return verdict.Signal{Channels: r.Channels}.Hums(func(c int) verdict.Humming {
		hum := h.Channels[c].Hum
		level := hum.LevelDBFS
		if hum.Present {
			level += leaves(r, s, hum.LoudestHz)
		}
		return verdict.Humming{Present: hum.Present && (spoken || level > faintDBFS), MainsHz: hum.MainsHz, LevelDBFS: level}
	}, voice)
}

// judgeLow finds rumble, wind and thumps that the chain's high-pass leaves.
func judgeLow(r *dsp.Reading, s *Situation, voice *hearing.Channel) []verdict.Finding {
	left := leaves(r, s, lowHz)
	level := voice.LowDBFS + left
	under := voice.VoiceDBFS - level
	gusty := voice.GustsDB > verdict.GustsDB
	rumbles := voice.GustsDB > toneDB && (under < verdict.RumbleDB && voice.LowDBFS > voice.FloorDBFS-mostDB || left > -cutOffDB && voice.Windy > rumbleShare)
	cut := cutHz(s, voice)
	switch {
	case gusty && rumbles, gusty && left > -cutOffDB && voice.Windy > windyShare:
		return []verdict.Finding{verdict.Wind(under, cut)}
	case rumbles:
		return []verdict.Finding{verdict.LowRumble(under, cut)}
	case left > -cutOffDB && voice.Thumps >= verdict.LeastThumps:
		return []verdict.Finding{verdict.Thumps(cut)}
	}
	return nil
}

// cutHz is the high-pass that a voice bears; 0 where it is set already.
func cutHz(s *Situation, voice *hearing.Channel) float64 {
	hz := usualCutHz
	if voice.FundamentalHz > 0 {
		hz = min(hz, math.Floor(bearable*voice.FundamentalHz/cutStepHz)*cutStepHz)
	}
	if s.Chain.HighPass.On() && s.Chain.HighPass.Hz >= hz {
		return 0
	}
	return hz
}
