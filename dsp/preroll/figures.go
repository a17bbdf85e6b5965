package preroll

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/hum"
	"rollready/dsp/verdict"
)

const (
	spokenSNR     = 0.0  // dB: less is no voice
	spokenShare   = 0.05 // of the time voiced: less is no voice
	deepHz        = 85.0 // fundamental of a deep voice (common practice, no source)
	lowestVoice   = 0.1  // the fundamental that a tenth of the voiced time lies under
	fundamentalDB = 1.0  // what a high-pass may take off it
	roomLowHz     = 10.0
)

// figures is what the judgement goes by. Levels are those that leave the
// chain, in the channel of the voice, unless said otherwise.
type figures struct {
	ch                int // channel of the voice, from 0
	roomDBFS, roomDBA float64
	voiceDBFS         float64 // without the noise
	peakDBTP          float64
	snrDB, snrDBA     float64
	inputDBFS         float64 // voice at the input
	silent, spoken    bool
	fundamentalHz     float64
}

func (c *Check) figures() figures {
	f := figures{ch: c.voiceChannel()}
	f.roomDBFS, f.roomDBA = c.room.noise.MeanDBFS(f.ch), c.room.noise.MeanDBA(f.ch)
	dba := c.voice.noise.VoiceDBA(f.ch, f.roomDBA)
	f.voiceDBFS = max(c.voice.noise.VoiceDBFS(f.ch, f.roomDBFS), dba) // strong rumble swallows a voice in the flat level
	f.peakDBTP = c.voice.asSet.speech(f.ch)
	f.snrDB = f.voiceDBFS - f.roomDBFS
	f.snrDBA = dba - f.roomDBA
	f.inputDBFS = f.voiceDBFS - c.setup.Chain.GainDB
	f.silent = c.inputs.Level.MeanRMSDBFS(f.ch) < verdict.SilentDBFS
	pitch := c.voice.low.Channels[f.ch].Pitch
	f.fundamentalHz = deepHz
	if pitch.VoicedShare() >= spokenShare {
		f.fundamentalHz = pitch.Hz(lowestVoice)
	}
	buried := db.RMS(pitch.Least()) >= f.inputDBFS // the room's low end hides the pitch
	lively := c.voice.noise.LivelySeconds(f.ch, f.roomDBA+verdict.SpokenDB)
	f.spoken = f.snrDBA >= spokenSNR && (buried || verdict.Spoken(pitch.VoicedShare(), pitch.Talked(), lively))
	return f
}

// voiceChannel is the channel in which the voice is loudest.
func (c *Check) voiceChannel() int {
	best, ch := math.Inf(-1), 0
	for k := range c.channels {
		if level := c.voice.noise.VoiceDBA(k, c.room.noise.MeanDBA(k)); level > best {
			best, ch = level, k
		}
	}
	return ch
}

// lowPower gives the power of the room's low end behind a high-pass, without
// hum, at the input: what lies under the voice's fundamental.
func (c *Check) lowPower(f figures, cut filter.Cut) float64 {
	room, rate := c.room.low.Channels[f.ch], float64(c.rateHz)
	sections := filter.HighPass(cut, c.rateHz)
	sum := 0.0
	for bin := room.Quiet.Bin(roomLowHz); bin <= room.Quiet.Bin(f.lowEndHz()); bin++ {
		hz := float64(bin) * room.Quiet.BinHz
		if !humAt(room.Hum, hz) {
			sum += room.Quiet.Power[bin] * math.Pow(10, filter.ResponseDB(sections, hz, rate)/10)
		}
	}
	return sum
}

// lowEndHz is where the low end ends and the voice begins; without a voice,
// where most begin.
func (f figures) lowEndHz() float64 {
	if !f.spoken {
		return commonCut.Hz
	}
	return 0.85 * f.fundamentalHz
}

// humAt tells whether a line of the hum lies at a frequency.
func humAt(h hum.Hum, hz float64) bool {
	for _, l := range h.Lines {
		if math.Abs(l.Hz-hz) < humWidthHz {
			return true
		}
	}
	return false
}

const humWidthHz = 2.0
