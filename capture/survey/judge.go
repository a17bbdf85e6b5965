package survey

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/finding"
	"rollready/dsp/lowend"
	"rollready/dsp/pair"
)

// facts is what the stages find besides the figures of the Result.
type facts struct {
	ch    int // channel of the voice, from 0
	voice []voiceFacts
	low   []lowFacts
	pair  *pair.Meter // nil unless stereo
	lufs  []float64   // of each channel by itself; nil unless asked for
}

// voiceFacts is what is known of a channel above its noise floor.
type voiceFacts struct {
	dBFS        float64 // without the noise
	floorDBFS   float64
	overRoomDBA float64
	swingDB     float64 // of the quietest moments
}

// Limits of our own (common practice, no source); the others are in finding.
const (
	roomSwingDB  = 3.0   // quietest moments that swing more are no room
	quietDBTP    = -40.0 // a voice that peaks lower was recorded far too low
	mostDB       = 2.0   // so far under a sum lies most of it
	windUnderDB  = 15.0  // under 50 Hz no voice comes nearer to its own level
	windyShare   = 0.05  // of the time
	thumpUnderDB = 6.0   // thumps stand out that reach so far under the voice
	leastThumps  = 2.0
	leastSeconds = 3.0 // nobody need have spoken in less
)

// spoken tells whether there is a voice: something voiced above the floor.
func (f *facts) spoken() bool {
	return f.voice[f.ch].overRoomDBA >= 0 && f.low[f.ch].voicedShare >= spokenShare
}

// roomHeard tells whether the room can be heard between the sounds: without
// pauses the noise floor says nothing about it.
func (f *facts) roomHeard() bool { return f.voice[f.ch].swingDB <= roomSwingDB }

// judge lists the findings, the most important first.
func (f *facts) judge(r *Result) []finding.Finding {
	found := []finding.Finding{}
	if r.Dropouts > 0 {
		found = append(found, finding.FramesLost(r.Dropouts))
	}
	if r.NonFinite > 0 {
		found = append(found, finding.NoNumbers(r.NonFinite))
	}
	if float64(figure.Highest(r.RMSDBFS)) < finding.SilentDBFS {
		return append(found, finding.NothingComesIn())
	}
	found = append(found, f.judgeChannels(r)...)
	found = append(found, f.judgePair(r)...)
	switch {
	case f.spoken():
		found = append(found, f.judgeVoice(r)...)
	case f.roomHeard() && r.DurationS >= leastSeconds:
		found = append(found, finding.OnlyRoom())
	}
	finding.Sort(found)
	return found
}

func (f *facts) judgeChannels(r *Result) (found []finding.Finding) {
	for c := range r.Channels {
		name := c + 1
		if r.Channels == 1 {
			name = 0
		}
		if runs := r.ClippedRuns[c]; runs > 0 {
			found = append(found, finding.Clipped(name, runs))
		}
		if tops := r.FlatTops[c]; tops > 0 {
			found = append(found, finding.FlatTops(name, tops))
		}
		if dc := float64(r.DCOffset[c]); math.Abs(dc) > finding.OffsetLimit {
			found = append(found, finding.Offset(name, dc))
		}
		found = append(found, f.judgeHum(c, name)...)
	}
	return found
}

func (f *facts) judgeHum(c, name int) []finding.Finding {
	h := f.low[c].hum
	switch {
	case !h.Present:
		return nil
	case f.spoken():
		under := f.voice[f.ch].dBFS - h.LevelDBFS
		return []finding.Finding{finding.MainsHum(finding.HumSeverity(under), name, h.MainsHz, h.LevelDBFS, under)}
	default:
		return []finding.Finding{finding.HumAlone(name, h.MainsHz, h.LevelDBFS)}
	}
}

func (f *facts) judgePair(r *Result) []finding.Finding {
	if f.pair == nil {
		return nil
	}
	other := 1 - f.ch
	apart := float64(r.RMSDBFS[f.ch] - r.RMSDBFS[other])
	if f.spoken() {
		apart = f.voice[f.ch].dBFS - f.voice[other].dBFS
	}
	return finding.Pair(apart, other+1, f.pair.Correlation(), f.pair.MonoDB())
}

// judgeVoice judges how a voice sits in its room.
func (f *facts) judgeVoice(r *Result) (found []finding.Finding) {
	voice, low := f.voice[f.ch], f.low[f.ch]
	if peak := float64(figure.Highest(r.TruePeakDBTP)); peak < quietDBTP {
		found = append(found, finding.RecordedQuiet(peak))
	}
	if noisy, is := finding.Room(voice.overRoomDBA); is && f.roomHeard() {
		found = append(found, noisy)
	}
	return append(found, judgeLowEnd(voice, low, float64(r.DurationS))...)
}

// judgeLowEnd tells wind, steady rumble and thumps apart. Rumble is most of the
// noise floor, or it is not worth a word; wind and thumps are often louder than
// a voice can be down there.
func judgeLowEnd(voice voiceFacts, low lowFacts, seconds float64) []finding.Finding {
	level := db.RMS(low.rumble())
	under := voice.dBFS - level
	rumbles := under < finding.RumbleDB && level > voice.floorDBFS-mostDB
	gusty := low.end.GustsDB() > finding.GustsDB
	thumps := float64(low.end.Thumps(voice.dBFS - thumpUnderDB))
	windy := float64(low.end.Thumps(voice.dBFS-windUnderDB)) * lowend.BlockSeconds
	switch {
	case gusty && windy > windyShare*seconds:
		return []finding.Finding{finding.Wind(voice.dBFS-low.end.LevelDBFS(), 0)}
	case gusty && rumbles:
		return []finding.Finding{finding.Wind(under, 0)}
	case rumbles:
		return []finding.Finding{finding.LowRumble(under, 0)}
	case thumps >= max(leastThumps, seconds/60):
		return []finding.Finding{finding.Thumps(0)}
	}
	return nil
}
