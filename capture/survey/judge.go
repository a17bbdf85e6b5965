package survey

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/heard"
	"rollready/dsp/lowend"
	"rollready/dsp/pair"
	"rollready/dsp/rack"
	"rollready/dsp/verdict"
)

// facts is what the stages find besides the figures of the Result.
type facts struct {
	who   verdict.Signal // how the channels are called
	input *heard.Input
	ch    int // channel of the voice, from 0
	voice []voiceFacts
	low   *rack.Low
	pair  *pair.Group
	lufs  []float64 // of each channel by itself; nil unless asked for
	copy  *Safety
}

// voiceFacts is what is known of a channel above its noise floor.
type voiceFacts struct {
	dBFS        float64 // without the noise
	floorDBFS   float64
	overRoomDBA float64
	swingDB     float64 // of the quietest moments
	livelyS     float64 // for so long its level moved as speech does
	quietDC     float64
}

// Limits of our own (common practice, no source); the others are in verdict.
const (
	steadyDB     = 1.5  // noise that drowns a voice swings no more; music under itself does
	leastBare    = 0.05 // of the time the rumble is bare, or the room has none
	windyShare   = 0.05 // of the time
	humSwing     = 1.5  // a hum and the room on top of it, over the hum
	leastSeconds = 3.0  // nobody need have spoken in less
)

// spoken tells whether there is a voice above the floor.
func (f *facts) spoken() bool {
	v, pitch := f.voice[f.ch], f.low.Channels[f.ch].Pitch
	return v.overRoomDBA >= 0 && verdict.Spoken(pitch.VoicedShare(), pitch.Talked(), v.livelyS)
}

// roomHeard tells whether the room can be heard between the sounds: without
// pauses the noise floor says nothing about it.
func (f *facts) roomHeard() bool { return f.voice[f.ch].swingDB <= verdict.RoomSwingDB }

// judge lists the findings, the most important first.
func (f *facts) judge(r *Result) []verdict.Finding {
	found := []verdict.Finding{}
	if r.NonFinite > 0 {
		found = append(found, verdict.NoNumbers(r.NonFinite))
	}
	if float64(figure.Highest(r.RMSDBFS)) < verdict.SilentDBFS {
		return append(found, verdict.NothingComesIn())
	}
	found = append(found, f.judgeChannels(r)...)
	found = f.copied(append(found, f.judgePair(r)...))
	switch {
	case f.spoken():
		found = append(found, f.judgeVoice(r)...)
	case f.roomHeard() && r.DurationS >= leastSeconds:
		found = append(found, verdict.OnlyRoom())
	}
	verdict.Sort(found)
	return found
}

func (f *facts) judgeChannels(r *Result) []verdict.Finding {
	in := f.who
	found := f.input.Findings(in, 0)
	found = append(found, in.Beyond(verdict.OffsetLimit, func(c int) float64 { return smaller(f.voice[c].quietDC, float64(r.DCOffset[c])) }, verdict.Offset)...)
	return append(found, f.judgeHum(in)...)
}

// smaller gives what is nearer to zero: an offset is there all the time.
func smaller(a, b float64) float64 {
	if math.Abs(a) < math.Abs(b) {
		return a
	}
	return b
}

func (f *facts) judgeHum(in verdict.Signal) []verdict.Finding {
	voice := math.NaN()
	if f.spoken() {
		voice = f.voice[f.ch].dBFS
	}
	return in.Hums(f.low.Humming, voice)
}

// judgePair judges the other channels beside that of the voice.
func (f *facts) judgePair(r *Result) []verdict.Finding {
	return heard.Channels(f.who, f.ch, func(other int) float64 {
		if f.spoken() {
			return f.voice[f.ch].dBFS - f.voice[other].dBFS
		}
		return float64(r.RMSDBFS[f.ch] - r.RMSDBFS[other])
	}, f.pair)
}

// judgeVoice judges how a voice sits in its room.
func (f *facts) judgeVoice(r *Result) (found []verdict.Finding) {
	voice := f.voice[f.ch]
	if peak := float64(figure.Highest(r.TruePeakDBTP)); peak < verdict.InputQuietDBTP {
		found = append(found, verdict.RecordedQuiet(verdict.Where{}, peak))
	}
	if noisy, is := verdict.Room(voice.overRoomDBA); is && f.roomHeard() && (voice.swingDB <= steadyDB || voice.livelyS > 0) {
		found = append(found, noisy)
	}
	return append(found, f.judgeLowEnd(voice, float64(r.DurationS))...)
}

// judgeLowEnd tells wind, steady rumble and thumps apart, by the moments in which
// most of the sound lies lower than a voice can. A hum is said by itself: here
// only what comes on top of it counts.
func (f *facts) judgeLowEnd(voice voiceFacts, seconds float64) []verdict.Finding {
	low, hum := f.low.Channels[f.ch].End, f.low.HumUnder(f.ch)
	share, level := low.Bare()
	level = db.RMS(max(0, db.ToPower(level-db.SineRMS)-humSwing*hum))
	over := func(dBFS float64) float64 {
		return float64(low.BareThumps(db.RMS(db.ToPower(dBFS-db.SineRMS) + humSwing*hum)))
	}
	under := voice.dBFS - level
	rumbles := under < verdict.RumbleDB && share > leastBare
	gusty := low.BareGustsDB() > verdict.GustsDB
	noise := low.OverRestDB() < verdict.StandsOutDB // that goes on under 50 Hz
	thumps := over(voice.dBFS - verdict.ThumpDB)
	windy := over(voice.dBFS-verdict.WindDB) * lowend.BlockSeconds
	switch {
	case gusty && windy > windyShare*seconds:
		return []verdict.Finding{verdict.Wind(voice.dBFS-low.LevelDBFS(), 0)}
	case gusty && rumbles:
		return []verdict.Finding{verdict.Wind(under, 0)}
	case rumbles && !noise:
		return []verdict.Finding{verdict.LowRumble(under, 0)}
	case thumps >= max(verdict.LeastThumps, seconds/60):
		return []verdict.Finding{verdict.Thumps(0)}
	}
	return nil
}
