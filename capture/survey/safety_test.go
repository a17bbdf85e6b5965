package survey

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/wavfile"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
)

// layout is a computed scene with or without a safety layout. What must come
// out follows from how it is made.
type layout struct {
	name string
	make func(s setting) lying
}

// lying is how a scene lies on two channels.
type lying struct {
	left, right []float64
	louder      int       // from 1; 0: no safety layout
	lowerDB     float64   //
	over        []float64 // by frame: by so many dB the louder is cut
	sure        float64   // dB; so much must be found
	args        []string
}

const (
	ceiling = 1.0
	leastDB = 0.1 // over it: less nobody can tell
)

// safe feeds a sound to a camera: at a level, cut at full scale, and lower.
func safe(x []float64, gainDB, lowerDB float64) lying {
	loud := scale(x, gainDB)
	l := lying{right: scale(loud, -lowerDB), louder: 1, lowerDB: lowerDB, over: make([]float64, len(x)), sure: leastDB}
	for i, v := range loud {
		l.over[i] = 20 * math.Log10(math.Abs(v)/ceiling)
	}
	l.left = clip(loud, 0, ceiling)
	return l
}

// noisy has noise of its own in each channel, so that less is found.
func (l lying) noisy(sure float64) lying {
	l.sure = sure
	return l
}

// shouting is a voice that is far louder for half a second, three times.
func shouting(s setting) []float64 {
	x := s.wet()
	return s.each(x, 3, func(x []float64, at int) {
		for i := range rate / 2 {
			x[at+i] *= 10
		}
	})
}

func (l lying) swapped() lying {
	l.left, l.right, l.louder = l.right, l.left, 3-l.louder
	return l
}

func (l lying) each(do func(x []float64, channel int) []float64) lying {
	l.left, l.right = do(l.left, 0), do(l.right, 1)
	return l
}

func (l lying) codec(args ...string) lying {
	l.args = args
	return l
}

func (l lying) uncut() lying {
	l.over = nil
	return l
}

// hiss is a camera's own noise.
func (l lying) hiss(dBFS float64) lying {
	return l.each(func(x []float64, c int) []float64 { return add(x, white(dBFS, len(x), uint64(c)+20)) })
}

// reverb is a room's answer that differs from channel to channel.
func reverb(x []float64, db float64, seed uint64) []float64 {
	y := make([]float64, len(x))
	for _, k := range []int{487, 733, 1103, 1601, 2089, 2777, 3541, 4447, 5323, 6571} {
		k += int(seed * 97 % 211)
		g := math.Pow(10, -float64(k)/8000) * (1 - 2*float64((uint64(k)+seed)%2))
		for i := k; i < len(x); i++ {
			y[i] += g * x[i-k]
		}
	}
	return add(x, scale(y, db))
}

func late(x []float64, frames int) []float64 {
	return append(make([]float64, frames), x...)[:len(x)]
}

var layouts = []layout{
	{"as it is", func(s setting) lying { return safe(s.wet(), 0, 10) }},
	{"right louder", func(s setting) lying { return safe(s.wet(), 3, 10).swapped() }},
	{"6 dB lower", func(s setting) lying { return safe(s.wet(), 12, 6) }},
	{"12 dB lower", func(s setting) lying { return safe(s.wet(), 12, 12) }},
	{"18 dB lower", func(s setting) lying { return safe(s.wet(), 18, 18) }},
	{"cut, 10 dB over", func(s setting) lying { return safe(s.wet(), 18, 10) }},
	{"cut, both", func(s setting) lying {
		return safe(s.wet(), 24, 10).each(func(x []float64, _ int) []float64 { return clip(x, 0, ceiling) })
	}},
	{"cut, camera noise", func(s setting) lying { return safe(shouting(s), 0, 10).noisy(1).hiss(-62) }},
	{"cut, behind a capacitor", func(s setting) lying {
		return safe(s.wet(), 16, 10).each(func(x []float64, _ int) []float64 { return coupled(x, 2) })
	}},
	{"AAC 128k", func(s setting) lying { return safe(s.wet(), 0, 10).codec("m4a", "-b:a", "128k") }},
	{"cut, AAC 256k", func(s setting) lying {
		return safe(shouting(s), 0, 10).noisy(4).each(quieter).codec("m4a", "-b:a", "256k")
	}},
	{"cut, AAC 128k", func(s setting) lying {
		return safe(shouting(s), 0, 10).noisy(4).each(quieter).codec("m4a", "-b:a", "128k")
	}},
	{"limited", func(s setting) lying {
		l := safe(s.wet(), 0, 10).uncut()
		l.left, l.right = squeezed(s.wet(), 12, 0.9), scale(s.wet(), 12-10)
		return l
	}},
	{"our own, limited", func(s setting) lying {
		return ours(s.wet(), strips.Settings{Route: strips.Safety, Limit: chain.Limit{On: true, CeilingDBTP: -1}})
	}},
	{"automatic level", func(s setting) lying { return safe(s.wet(), 12, 10).each(levelled(scale(s.wet(), 12))) }},
	{"two people mixed", func(s setting) lying {
		other := roomy(late(s.dry, 2*rate), -64, 91)
		return safe(add(s.wet(), scale(other, -4)), 10, 10)
	}},

	{"dual mono", func(s setting) lying { return lying{left: s.wet(), right: s.wet()} }},
	{"dual mono, 3 dB apart, AAC", func(s setting) lying {
		return lying{left: s.wet(), right: scale(s.wet(), -3)}.codec("m4a", "-b:a", "128k")
	}},
	{"dual mono, cut", func(s setting) lying {
		return lying{left: clip(s.wet(), 12, ceiling), right: clip(s.wet(), 12, ceiling)}
	}},
	{"stereo room", func(s setting) lying {
		return lying{left: roomy(scale(s.dry, -60), -24, 1), right: roomy(scale(s.dry, -70), -34, 2)}
	}},
	{"ambience, mostly the same", func(s setting) lying {
		m := dark(-30, 500, len(s.dry), 5)
		return lying{left: add(m, dark(-42, 500, len(m), 6)), right: add(scale(m, -10), dark(-48, 500, len(m), 7))}
	}},
	{"two people", func(s setting) lying {
		other := late(scale(s.dry, -3), 3*rate)
		return lying{left: roomy(add(s.dry, late(scale(other, -18), 60)), s.room, 1), right: roomy(add(other, late(scale(s.dry, -18), 70)), s.room, 2)}
	}},
	{"one of two talks", func(s setting) lying {
		return lying{left: s.wet(), right: roomy(late(scale(s.dry, -10), 90), s.room, 2)}
	}},
	{"two microphones side by side", func(s setting) lying {
		return lying{left: s.wet(), right: roomy(late(scale(s.dry, -10), 3), s.room-10, 2)}
	}},
	{"coincident pair, turned away", func(s setting) lying {
		return lying{left: roomy(reverb(s.dry, -14, 1), s.room, 1), right: roomy(reverb(scale(s.dry, -10), -4, 2), s.room, 2)}
	}},
	{"coincident pair, near", func(s setting) lying {
		return lying{left: roomy(reverb(s.dry, -20, 1), s.room, 1), right: roomy(reverb(scale(s.dry, -8), -12, 2), s.room, 2)}
	}},
	{"other tone in one", func(s setting) lying {
		return lying{left: s.wet(), right: scale(filtered(s.wet(), filter.LowPass(filter.Cut{Hz: 3000, Slope: 12}, rate)), -9)}
	}},
	{"one inverted and lower", func(s setting) lying { return lying{left: s.wet(), right: invert(scale(s.wet(), -10))} }},
	{"crosstalk", func(s setting) lying {
		return lying{left: s.wet(), right: add(scale(s.wet(), -35), white(-80, len(s.dry), 4))}
	}},
	{"each channel levelled by itself", func(s setting) lying {
		return lying{left: levelled(scale(s.wet(), 6))(scale(s.wet(), 6), 0), right: levelled(scale(s.wet(), -4))(scale(s.wet(), -4), 1)}
	}},
	{"music", func(s setting) lying {
		m := music(len(s.dry), 2)
		return lying{left: roomy(add(m, late(scale(m, -6), 700)), -60, 1), right: roomy(scale(add(m, late(scale(m, -3), 1100)), -9), -60, 2)}
	}},
}

func invert(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = -v
	}
	return y
}

// quieter is a camera whose scale ends lower than its input, so that the codec
// has room.
func quieter(x []float64, _ int) []float64 { return scale(x, -2) }

// levelled turns sound up and down as an automatic level does that hears key.
func levelled(key []float64) func(x []float64, _ int) []float64 {
	return func(x []float64, _ int) []float64 {
		y, env := make([]float64, len(x)), 0.35
		attack, release := math.Exp(-1/(0.005*rate)), math.Exp(-1/(1.5*rate))
		for i := range x {
			v := math.Abs(key[i])
			env = max(env*release, v*(1-attack)+env*attack)
			y[i] = 0.5 * x[i] * min(1.5, 0.35/env)
		}
		return y
	}
}

// ours is what leaves our own strips.
func ours(x []float64, s strips.Settings) lying {
	b := strips.NewBank(rate, 1)
	s.Count, s.Strips[0].Chain.GainDB = 1, 9
	b.Set(s)
	in := make([]float32, len(x))
	for i, v := range x {
		in[i] = float32(v)
	}
	k := strips.Block{Raw: slices.Clone(in), Strips: in, Camera: make([]float32, 2*len(x))}
	b.Process(k)
	l := lying{left: make([]float64, len(x)), right: make([]float64, len(x)), louder: 1, lowerDB: -strips.SafetyDB}.uncut()
	for i := range x {
		l.left[i], l.right[i] = float64(k.Camera[2*i]), float64(k.Camera[2*i+1])
	}
	return l
}

// near tells that the louder is cut by so much within 10 ms of a place.
func (l lying) near(seconds, dB float64) bool {
	at := int(math.Round(seconds * rate))
	return slices.ContainsFunc(l.over[min(len(l.over), max(0, at-rate/100)):min(len(l.over), at+rate/100)], func(over float64) bool { return over >= dB })
}

// cuts compares what was found with where it is cut: nothing is missing, and it
// begins and ends where it is cut.
func (l lying) cuts(use []Use, lower int) string {
	in := func(seconds float64) bool {
		return slices.ContainsFunc(use, func(u Use) bool {
			return u.Channel == lower && seconds > float64(u.FromS)-0.01 && seconds < float64(u.ToS)+0.01
		})
	}
	for i, over := range l.over {
		if at := float64(i) / rate; over >= l.sure && !in(at) {
			return fmt.Sprintf("cut at %.3f by %.1f dB, found %v", at, over, use)
		}
	}
	for _, u := range use {
		if u.Channel == lower && !(l.near(float64(u.FromS), leastDB/2) && l.near(float64(u.ToS), leastDB/2)) {
			return fmt.Sprintf("not cut at the ends of %v", u)
		}
	}
	return ""
}

// wrong tells what is wrong with a report.
func (l lying) wrong(r Result) string {
	if has := slices.ContainsFunc(r.Findings, func(f verdict.Finding) bool { return f.Code == verdict.SafetyCopy }); has != (r.Safety != nil) {
		return "finding and JSON differ"
	}
	switch {
	case l.louder == 0 && r.Safety != nil:
		return fmt.Sprintf("false alarm: %+v", *r.Safety)
	case l.louder == 0:
		return ""
	case r.Safety == nil:
		return "missed"
	case r.Safety.Louder != l.louder:
		return fmt.Sprintf("louder is %d", r.Safety.Louder)
	case math.Abs(float64(r.Safety.LowerDB)-l.lowerDB) > 0.5:
		return fmt.Sprintf("%.2f dB lower instead of %.2f", float64(r.Safety.LowerDB), l.lowerDB)
	}
	return l.cuts(r.Safety.Use, r.Safety.Lower)
}

func (l lying) report(t testing.TB) Result {
	path := write(t, rate, wavfile.PCM16, l.left, l.right)
	if l.args != nil {
		path = coded(t, path, l.args[0], l.args[1:]...)
	}
	r, err := File(context.Background(), path, nil)
	require.NoError(t, err)
	return r
}

// gradeLayouts goes through every so many of the layouts.
func gradeLayouts(t *testing.T, every, voiceCount int) {
	t.Helper()
	scenes, wrong := 0, 0
	for k, l := range layouts {
		if k%every != 0 {
			continue
		}
		for v := range voiceCount {
			who := voices[(v+k)%len(voices)]
			s := setting{who: who, k: v, dry: onStage(t, who, rate), room: -66 - 3*float64((v+k)%4)}
			lies := l.make(s)
			scenes++
			if is := lies.wrong(lies.report(t)); is != "" {
				wrong++
				t.Errorf("%s, %s: %s", l.name, who.name, is)
			}
		}
	}
	t.Logf("%d scenes, %d wrong", scenes, wrong)
}

// A recording is told to have a safety layout, or not, as it was made. Here
// every fourth kind, all of them in the proof.
func TestSafetyLayouts(t *testing.T) { gradeLayouts(t, 4, 1) }
