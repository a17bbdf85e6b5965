package survey

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/hum"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/pitch"
	"rollready/dsp/spectrum"
)

// low looks for hum, rumble, wind and the pitch of a voice in each channel, at
// a low rate.
type low struct {
	*lowrate.Decimator
	ch    []lowChannel
	turn  int // samples
	found *facts
}

type lowChannel struct {
	narrow *spectrum.Welch
	end    *lowend.Meter
	pitch  *pitch.Tracker
	at     int // samples since the turn began
}

// The pitch is looked for in turns of half a second, every two seconds: enough
// to know whether a voice is there and how deep it is, at a quarter of the cost.
const (
	turnSeconds = 0.5
	turns       = 4
)

func newLow(rateHz, channels int, found *facts) *low {
	rate := lowrate.Rate(rateHz)
	l := &low{turn: int(turnSeconds * rate), found: found}
	for range channels {
		l.ch = append(l.ch, lowChannel{narrow: hum.NewSpectrum(rateHz), end: lowend.New(rate), pitch: pitch.New(rate)})
	}
	l.Decimator = lowrate.New(rateHz, channels, func(c int, x []float64) {
		k := &l.ch[c]
		k.narrow.Process(x)
		k.end.Process(x)
		k.follow(x, l.turn)
	})
	return l
}

// follow hands on what lies in the first of the turns.
func (c *lowChannel) follow(x []float64, turn int) {
	for len(x) > 0 {
		n := min(len(x), turns*turn-c.at)
		if in := min(n, turn-c.at); in > 0 {
			c.pitch.Process(x[:in])
		}
		x = x[n:]
		c.at = (c.at + n) % (turns * turn)
	}
}

func (l *low) process(block []float32) { l.Process(block) }

func (l *low) finish(r *Result) {
	r.Hum.LevelDBFS = figure.Figure(math.Inf(-1))
	for c := range l.ch {
		k := &l.ch[c]
		k.narrow.Flush()
		f := lowFacts{quiet: k.narrow.Quiet(hum.QuietShare), end: k.end,
			voicedShare: k.pitch.VoicedShare(), deepestHz: k.pitch.Hz(deepShare)}
		f.hum = hum.Find(f.quiet)
		l.found.low = append(l.found.low, f)
		if h := f.hum; h.Present && h.LevelDBFS > float64(r.Hum.LevelDBFS) {
			r.Hum = Hum{true, h.MainsHz, figure.Figure(h.LevelDBFS)}
		}
	}
}

const (
	deepShare   = 0.1  // of the voiced time the fundamental lies deeper
	underVoice  = 0.85 // of that fundamental: the low end ends here
	lowestHz    = 10.0
	humWidthHz  = 2.0
	spokenShare = 0.05 // of the time voiced: less is no voice
)

// lowFacts is what is known of the low end of a channel.
type lowFacts struct {
	quiet                  spectrum.Average // between the words
	hum                    hum.Hum
	end                    *lowend.Meter
	voicedShare, deepestHz float64
}

// rumble gives the mean square under the voice, without the hum.
func (f *lowFacts) rumble() float64 {
	if len(f.quiet.Power) == 0 {
		return 0
	}
	topHz := underVoice * f.deepestHz
	power := f.quiet.Band(lowestHz, topHz)
	for _, line := range f.hum.Lines {
		if line.Hz > lowestHz && line.Hz < topHz {
			power -= f.quiet.Band(line.Hz-humWidthHz, line.Hz+humWidthHz)
		}
	}
	return max(0, power)
}
