package live

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/internal/scene"
	"rollready/dsp/verdict"
)

// said is one sentence and when it was first said.
type said struct {
	at float64
	verdict.Finding
}

// hear runs a scene through chain and meter, reads it ten times a second, and
// gives every kind of sentence in turn.
func hear(s Situation, channels ...[]float64) (all []said) {
	all, _ = hearAll(s, channels...)
	return all
}

// hearAll gives the last sentence too, with its newest figures.
func hearAll(s Situation, channels ...[]float64) (all []said, last verdict.Finding) {
	v := dsp.DefaultView()
	v.Camera = s.Camera
	n := len(channels)
	meter, c, judge := dsp.NewMeter(rate, n, v), chain.New(rate, n), New()
	c.Set(s.Chain)
	frames := scene.Interleave(channels...)
	out := make([]float32, n*rate/10)
	for at := 0; at+len(out) <= len(frames); at += len(out) {
		in := frames[at : at+len(out)]
		copy(out, in)
		c.Process(out)
		meter.Process(in, out, nil)
		r := meter.Reading()
		now := judge.Judge(r, s).Sentence
		if len(all) == 0 || !now.Same(all[len(all)-1].Finding) {
			all = append(all, said{float64(r.Frames) / rate, now})
		}
		last = now
	}
	return all, last
}

func words(all []said) string {
	var w []string
	for _, s := range all {
		w = append(w, fmt.Sprintf("%.1f %s/%s", s.at, s.Code, s.Place))
	}
	return strings.Join(w, ", ")
}

// fed is a set-up in which nothing is wrong: gain 0, camera never lined up.
var fed = Situation{Camera: camera.Default, Fed: true}

func with(s Situation, change func(s *Situation)) Situation {
	change(&s)
	return s
}

// situation is one thing that may be wrong, in as many variants as there are
// speakers.
type situation struct {
	name  string
	make  func(t testing.TB, k int, s speaker) (Situation, [][]float64)
	codes []verdict.Code // one of them is to be said
	place verdict.Place  // "": any
	also  []verdict.Code // that are true as well
}

const seconds = 16

// peakOf is where a variant's speech peaks lie: in the window.
func peakOf(k int) float64 { return -11 + float64(k%4) }

func one(f func(t testing.TB, k int, s speaker) []float64) func(testing.TB, int, speaker) (Situation, [][]float64) {
	return func(t testing.TB, k int, s speaker) (Situation, [][]float64) { return fed, [][]float64{f(t, k, s)} }
}

// clean is a good voice in a quiet room.
func clean(t testing.TB, k int, s speaker) []float64 {
	return scene.Add(talk(t, s, peakOf(k), seconds), room(-68-float64(k), seconds, uint64(k)))
}

func situations() []situation {
	return []situation{
		{"good voice", one(clean), []verdict.Code{verdict.SafeToRoll}, "", nil},
		{"good voice, camera not fed", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Fed, s.Conditions = false, []verdict.Finding{verdict.NotFed()} }), [][]float64{clean(t, k, s)}
		}, []verdict.Code{verdict.LevelRight}, "", nil},
		{"good voice in stereo", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			x := clean(t, k, s)
			return fed, [][]float64{x, scene.Add(scene.Scale(x, -float64(2*k)), room(-74, seconds, 9))}
		}, []verdict.Code{verdict.SafeToRoll}, "", nil},
		{"room alone at −62 dBFS", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(room(-62+float64(k), seconds, uint64(k)), deep(-60, 150, seconds, uint64(k)+20))
		}), []verdict.Code{verdict.Speak}, "", nil},
		{"hum at −34 dBFS", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(clean(t, k, s), mains(50+10*float64(k%2), -34-float64(k), seconds))
		}), []verdict.Code{verdict.Hum}, "", nil},
		{"wind", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(clean(t, k, s), gusts(deep(-34+2*float64(k), 25, seconds, uint64(k))))
		}), []verdict.Code{verdict.Rumble}, "", nil},
		{"rumble", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(clean(t, k, s), deep(-36+2*float64(k), 22, seconds, uint64(k)))
		}), []verdict.Code{verdict.Rumble}, "", nil},
		{"plosives", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(talk(t, s, -10, seconds), room(-70, seconds, uint64(k)), plosives(0.25+0.03*float64(k), seconds))
		}), []verdict.Code{verdict.Rumble}, "", nil},
		{"dead channel", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			dead := []float64{-120, -90, -80, -76, -84}[k]
			pair := [][]float64{clean(t, k, s), room(dead, seconds, 7)}
			if k%2 == 1 {
				slices.Reverse(pair)
			}
			return fed, pair
		}, []verdict.Code{verdict.DeadChannel}, "", nil},
		{"inverted channel", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			x := clean(t, k, s)
			y := scene.Scale(x, -float64(k))
			for i := range y {
				y[i] = -y[i]
			}
			return fed, [][]float64{x, y}
		}, []verdict.Code{verdict.PolarityInverted}, "", nil},
		{"loud room", one(func(t testing.TB, k int, s speaker) []float64 {
			return scene.Add(talk(t, s, -9, seconds), room(-38+2*float64(k), seconds, uint64(k)))
		}), []verdict.Code{verdict.NoiseHigh, verdict.Speak}, "", nil},
		{"zero line off by 8 %", one(func(t testing.TB, k int, s speaker) []float64 {
			return offset(scene.Scale(clean(t, k, s), -2), []float64{0.08, -0.08, 0.02, -0.01, 0.05}[k])
		}), []verdict.Code{verdict.DCOffset}, "", nil},
		{"an output's monitor", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Conditions = []verdict.Finding{verdict.MonitorAsInput("Monitor of Desk")} }),
				[][]float64{scene.Scale(clean(t, k, s), []float64{0, -20, -60, -200, -10}[k])}
		}, []verdict.Code{verdict.OutputMonitor}, "", nil},
		{"camera over by line-up, gain 0", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Camera.OffsetDB = 12 + 2*float64(k) }), [][]float64{scene.Scale(clean(t, 1, s), -2)}
		}, []verdict.Code{verdict.TooHot}, verdict.Camera, nil},
		{"camera over by our gain", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Chain.GainDB = 8 + float64(k) }), [][]float64{scene.Scale(clean(t, 1, s), -2)}
		}, []verdict.Code{verdict.TooHot}, verdict.Here, nil},
		{"clipping converter", one(func(t testing.TB, k int, s speaker) []float64 { return clip(clean(t, k, s), 14+float64(k), 1) }),
			[]verdict.Code{verdict.InputClipped}, verdict.Interface, []verdict.Code{verdict.TooHot}},
		{"flat tops", one(func(t testing.TB, k int, s speaker) []float64 { return clip(clean(t, k, s), 8, 0.3+0.04*float64(k)) }),
			[]verdict.Code{verdict.FlatTopped}, "", nil},
		{"soft clipping", one(func(t testing.TB, k int, s speaker) []float64 { return bend(clean(t, k, s), 10+2*float64(k)) }),
			[]verdict.Code{verdict.FlatTopped}, verdict.OnSet, nil},
		{"a radio link that breaks off", one(func(t testing.TB, k int, s speaker) []float64 {
			return away(clean(t, k, s), 0.03+0.03*float64(k), 1.1+0.3*float64(k))
		}), []verdict.Code{verdict.Dropouts}, "", nil},
		{"one channel that breaks off", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			x := clean(t, k, s)
			pair := [][]float64{scene.Scale(x, 0), away(x, 0.05, 1.7)}
			if k%2 == 1 {
				slices.Reverse(pair)
			}
			return fed, pair
		}, []verdict.Code{verdict.Dropouts}, "", nil},
		{"preamp low", one(func(t testing.TB, k int, s speaker) []float64 { return scene.Scale(clean(t, k, s), -16-2*float64(k)) }),
			[]verdict.Code{verdict.TooQuiet}, verdict.Interface, nil},
		{"system's volume low", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Conditions = []verdict.Finding{verdict.TurnedInput(-14 - float64(k))} }),
				[][]float64{scene.Scale(clean(t, k, s), -14-float64(k))}
		}, []verdict.Code{verdict.InputVolume}, verdict.System, nil},
		{"gain low", func(t testing.TB, k int, s speaker) (Situation, [][]float64) {
			return with(fed, func(s *Situation) { s.Chain.GainDB = -12 - float64(k) }), [][]float64{clean(t, 1, s)}
		}, []verdict.Code{verdict.TooQuiet}, verdict.Here, nil},
		{"nothing", one(func(t testing.TB, k int, s speaker) []float64 { return room(-130+10*float64(k), seconds, 1) }),
			[]verdict.Code{verdict.Silence}, "", nil},
		{"traffic alone", one(func(t testing.TB, k int, s speaker) []float64 {
			return gusts(deep(-45-float64(k), 200, seconds, uint64(k)))
		}),
			[]verdict.Code{verdict.Speak, verdict.Rumble}, "", nil},
	}
}

// Of two speakers; of all in the proofs.
func TestSituations(t *testing.T) { grade(t, 1, 4) }

// grade grades the sentence: from ten seconds on it must name what is wrong (else
// a miss), and never say anything else that is wrong, or that it is safe where it
// is not (a false alarm).
func grade(t *testing.T, variants ...int) {
	misses, falses, total := 0, 0, 0
	for _, c := range situations() {
		missed, wrong := 0, 0
		for _, k := range variants {
			s := speakers[k]
			setup, channels := c.make(t, k, s)
			all := hear(setup, channels...)
			right := func(f verdict.Finding) bool {
				return slices.Contains(c.codes, f.Code) && (c.place == "" || c.place == f.Place)
			}
			atTen, final := all[0], all[len(all)-1]
			bad := false
			for _, one := range all {
				if one.at <= 10 {
					atTen = one
				}
				bad = bad || !right(one.Finding) && one.Code != verdict.Speak && !slices.Contains(c.also, one.Code)
			}
			if !right(atTen.Finding) || !right(final.Finding) {
				missed++
				t.Logf("MISS %s, %s: %s", c.name, s.name, words(all))
			} else if bad {
				wrong++
				t.Logf("FALSE %s, %s: %s", c.name, s.name, words(all))
			}
		}
		total += len(variants)
		misses, falses = misses+missed, falses+wrong
		t.Logf("%-32s %d scenes, %d missed, %d false", c.name, len(variants), missed, wrong)
	}
	t.Logf("%-32s %d scenes, %d missed, %d false", "in all", total, misses, falses)
	require.Zero(t, misses)
	require.Zero(t, falses)
}
