package live

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/internal/scene"
	"rollready/dsp/verdict"
)

// after gives what is said after the first so many seconds.
func after(all []said, seconds float64) (rest []said) {
	for i, s := range all {
		if i+1 == len(all) || all[i+1].at > seconds {
			rest = append(rest, s)
		}
	}
	return rest
}

// A voice that does not change gets one answer, at the edges of the window and
// between two hands too.
func steady(t *testing.T, seconds float64, levels []float64, variants ...int) {
	for _, k := range variants {
		s := speakers[k]
		for _, level := range levels {
			x := scene.Add(talk(t, s, level, seconds), room(-68, seconds, uint64(k)))
			all := hear(fed, x)
			require.Len(t, after(all, 15), 1, "%s at %g dBFS: %s", s.name, level, words(all))
			for i := 1; i < len(all)-1; i++ {
				if all[i+1].Severity == all[i].Severity || !all[i+1].Severity.Graver(all[i].Severity) {
					require.GreaterOrEqual(t, all[i+1].at-all[i].at, 2.9, "%s at %g dBFS: %s", s.name, level, words(all))
				}
			}
		}
	}
}

func TestSteadyOnAVoice(t *testing.T) { steady(t, 40, []float64{-18, -12, -6}, 0, 4) }

// Whatever is said of a voice's level, the zone says it too: none while it listens,
// nor two at the edges of the window.
func TestTheZoneAgreesWithTheSentence(t *testing.T) {
	for _, level := range []float64{-30, -13, -12.2, -9, -5.8, -5, -1.5} {
		meter, judge, v := dsp.NewMeter(rate, 1, dsp.DefaultView()), New(), talk(t, speakers[4], level, seconds)
		x := scene.Interleave(scene.Add(v, room(-68, seconds, 3)))
		for at := 0; at+rate/10 <= len(x); at += rate / 10 {
			meter.Process(x[at:at+rate/10], x[at:at+rate/10], nil)
			r := meter.Reading()
			now := judge.Judge(r, fed)
			now.Zones(&r)
			want := map[verdict.Code]camera.Zone{verdict.Speak: camera.Unjudged, verdict.SafeToRoll: camera.Target,
				verdict.TooQuiet: camera.Low, verdict.TooHot: camera.Hot}[now.Sentence.Code]
			if zone := r.Camera[0].Zone; zone != camera.Over && now.Sentence.Place != verdict.Interface || want == camera.Low {
				require.Equal(t, want, zone, "%g dBFS after %d ms: %s", level, 1000*at/rate, now.Sentence.Text())
				require.Equal(t, want, r.Zones[0], "the microphone's, %g dBFS after %d ms: %s", level, 1000*at/rate, now.Sentence.Text())
			}
		}
	}
}

// One voice in two microphones that both go to one channel is 6 dB higher there
// (20·log10 2): what is said is said of what the camera gets.
func TestSummedMicrophonesAreJudgedAsTheCameraGetsThem(t *testing.T) {
	v := scene.Add(talk(t, speakers[0], -10, seconds), room(-68, seconds, 3))
	x, sum := scene.Interleave(v, v), scene.Interleave(scene.Scale(v, 20*math.Log10(2)), scene.Silence(seconds, rate))
	for _, c := range []struct {
		fed  []float32
		want verdict.Code
		zone camera.Zone
	}{{nil, verdict.SafeToRoll, camera.Target}, {sum, verdict.TooHot, camera.Hot}} {
		meter, judge := dsp.NewMeter(rate, 2, dsp.DefaultView()), New()
		r, now := dsp.Reading{}, Judgement{}
		for at := 0; at+rate/5 <= len(x); at += rate / 5 {
			block := x[at : at+rate/5]
			if c.fed == nil {
				meter.Process(block, block, nil)
			} else {
				meter.Process(block, block, c.fed[at:at+rate/5])
			}
			r = meter.Reading()
			now = judge.Judge(r, fed)
			now.Zones(&r)
		}
		require.Equal(t, c.want, now.Sentence.Code, now.Sentence.Text())
		require.Equal(t, c.zone, r.Camera[0].Zone)
	}
}

// Good speech, then a long pause: it asks for a voice, and keeps the judgement
// with its age; never does it ask for more gain.
func TestAPauseKeepsTheJudgement(t *testing.T) {
	for k, s := range speakers[:2] {
		x := append(clean(t, k, s), room(-68-float64(k), 100, 9)...)
		all, end := hearAll(fed, x)
		for _, one := range all {
			require.Contains(t, []verdict.Code{verdict.Speak, verdict.SafeToRoll}, one.Code, words(all))
		}
		require.Equal(t, verdict.NotYetJudged(), end, "long past")
		pause := all[len(all)-1]
		require.InDelta(t, seconds+10, pause.at, 2, words(all))
		require.Equal(t, "Nobody speaks now; 10 s ago: Speech sits in the target window: safe to roll.", pause.Message)
		require.Equal(t, "10 s ago: Speech sits in the target window: safe to roll.", pause.Text())
	}
}

// In the pause the zone is that of the voice the sentence tells of, also of one
// at the edge of the window.
func TestAPauseKeepsTheZone(t *testing.T) {
	for _, levels := range [][2]float64{{-14, -10.7}, {-9, -13}, {-14, -14}} {
		x := append(talk(t, speakers[0], levels[0], seconds/2), talk(t, speakers[0], levels[1], seconds)...)
		x = scene.Add(append(x, scene.Silence(20, rate)...), room(-75, 1.5*seconds+20, 4))
		meter, judge, frames := dsp.NewMeter(rate, 1, dsp.DefaultView()), New(), scene.Interleave(x)
		told := verdict.Code("")
		for at := 0; at+rate/10 <= len(frames); at += rate / 10 {
			in := frames[at : at+rate/10]
			meter.Process(in, in, nil)
			r := meter.Reading()
			now := judge.Judge(r, fed)
			now.Zones(&r)
			switch {
			case r.Heard.PauseSeconds < 1:
				told = now.Sentence.Code
			case told == verdict.TooQuiet:
				require.Equal(t, camera.Low, r.Camera[0].Zone, "%v dBFS after %d s: %s", levels, at/rate, now.Sentence.Text())
			case told == verdict.SafeToRoll:
				require.Equal(t, camera.Target, r.Camera[0].Zone, "%v dBFS after %d s: %s", levels, at/rate, now.Sentence.Text())
			}
		}
		require.NotEqual(t, verdict.Code(""), told)
	}
}

// Whoever does what it says arrives at a level to roll with, and is never sent
// back and forth between two hands.
func TestObeyingLeadsToSafeToRoll(t *testing.T) {
	for k, s := range speakers[3:] {
		for _, start := range []struct{ preamp, gain, offset float64 }{{-40, 0, 0}, {-26, -12, 0}, {-3, 6, 6}, {0, 12, 0}, {-12, 0, 20}, {-12, 0, -14}, {-20, -20, 20}} {
			preamp, set := start.preamp, fed
			set.Chain, set.Camera.OffsetDB = chain.Settings{GainDB: start.gain}, start.offset
			var path []said
			for range 5 {
				all := hear(set, scene.Add(talk(t, s, preamp, seconds), room(-75, seconds, uint64(k))))
				now := all[len(all)-1]
				path = append(path, now)
				if now.Severity == verdict.Good {
					break
				}
				switch now.Place {
				case verdict.Interface:
					preamp += float64(now.ByDB)
				case verdict.Here:
					set.Chain.GainDB += float64(now.ByDB)
				case verdict.Camera:
					set.Camera.OffsetDB += float64(now.ByDB)
				}
			}
			require.Equal(t, verdict.SafeToRoll, path[len(path)-1].Code, "%s %+v: %s", s.name, start, words(path))
		}
	}
}

// A fault that does not change is said in one way, at the edges of its limits
// too.
func steadyFaults(t *testing.T, seconds float64, variants ...int) {
	for _, k := range variants {
		s := speakers[k]
		voice := scene.Add(talk(t, s, -9, seconds), room(-70, seconds, uint64(k)))
		for name, x := range map[string][]float64{
			"loud hum":   scene.Add(voice, mains(50, -34, seconds)),
			"soft hum":   scene.Add(voice, mains(60, -52, seconds)),
			"wind":       scene.Add(voice, gusts(deep(-32, 25, seconds, uint64(k)))),
			"rumble":     scene.Add(voice, deep(-33, 22, seconds, uint64(k))),
			"loud room":  scene.Add(voice, room(-34, seconds, uint64(k))),
			"drowning":   scene.Add(voice, room(-30, seconds, uint64(k))),
			"flat tops":  clip(voice, 8, 0.35),
			"converter":  clip(voice, 14, 1),
			"offset":     offset(scene.Scale(voice, -2), 0.02),
			"thumps":     scene.Add(voice, plosives(0.3, seconds)),
			"good voice": voice,
		} {
			all := hear(fed, x)
			require.Len(t, after(all, 20), 1, "%s, %s: %s", s.name, name, words(all))
		}
	}
}

func TestSteadyOnAFault(t *testing.T) { steadyFaults(t, 30, 4) }

// A hum that begins in the middle: ten seconds later nothing says any more that
// all is well, five more and it has its name.
func humBegins(t *testing.T, variants ...int) {
	const begins, ends = 20, 40
	for _, k := range variants {
		for _, level := range []float64{-34, -44} {
			x := scene.Add(talk(t, speakers[k], -9, ends), room(-70, ends, uint64(k)))
			for i, v := range mains(50+10*float64(k%2), level, ends-begins-1.3*float64(k)) {
				x[len(x)-scene.Frames(ends-begins-1.3*float64(k), rate)+i] += v
			}
			all, at := hear(fed, x), begins+1.3*float64(k)
			for _, one := range after(all, at+10) {
				require.NotEqual(t, verdict.Good, one.Severity, "%s, %g dBFS from %g s: %s", speakers[k].name, level, at, words(all))
			}
			require.Equal(t, verdict.Hum, after(all, at+15)[0].Code, "%s, %g dBFS from %g s: %s", speakers[k].name, level, at, words(all))
		}
	}
}

func TestHumThatBeginsLaterIsSaid(t *testing.T) { humBegins(t, 1, 4) }

// A shout that overloads the converter, then good speech: as long as anything is
// said of it, it is said of the input. Our gain, at 0, can't bring it down.
func TestAnOverloadIsNeverBlamedOnOurGain(t *testing.T) {
	for k, s := range speakers[:3] {
		x := clean(t, k, s)
		from, to := scene.Frames(9, rate), scene.Frames(9.5, rate)
		copy(x[from:to], clip(scene.Scale(x[from:to], 26), 0, 1))
		all := hear(fed, slices.Concat(x, clean(t, k, s), clean(t, k, s)))
		overloaded := false
		for _, one := range all {
			overloaded = overloaded || one.Code == verdict.InputClipped
			require.False(t, one.Code == verdict.TooHot && one.Place != verdict.Interface, words(all))
		}
		require.True(t, overloaded, words(all))
		require.NotEqual(t, verdict.TooHot, all[len(all)-1].Code, words(all))
	}
}

// While another fault leads, the zone is still that of the voice as it is judged:
// one at the edge of the window has one, and goes with what is found of its level.
func TestTheZoneStandsBesideAnotherFault(t *testing.T) { zoneStands(t, speakers[:2]) }

func zoneStands(t *testing.T, speakers []speaker) {
	turns := 0
	for k, s := range speakers {
		for _, level := range []float64{-12.6, -12, -11.6, -6.3, -5.6} {
			voice := scene.Add(talk(t, s, level, 30), room(-68, 30, uint64(k)))
			other := make([]float64, len(voice))
			for i, v := range voice {
				other[i] = -v
			}
			for _, channels := range [][][]float64{{scene.Add(voice, mains(50, -34, 30))}, {voice, other}} {
				meter, judge, frames := dsp.NewMeter(rate, len(channels), dsp.DefaultView()), New(), scene.Interleave(channels...)
				var zones []camera.Zone
				for step := len(channels) * rate / 10; len(frames) >= step; frames = frames[step:] {
					meter.Process(frames[:step], frames[:step], nil)
					r := meter.Reading()
					now := judge.Judge(r, fed)
					now.Zones(&r)
					if zone := r.Camera[0].Zone; r.Frames > 15*rate && zone != camera.Over {
						if n := len(zones); n == 0 || zones[n-1] != zone {
							zones = append(zones, zone)
						}
						for _, f := range now.Findings {
							want, is := map[verdict.Code]camera.Zone{verdict.TooQuiet: camera.Low, verdict.TooHot: camera.Hot}[f.Code]
							require.False(t, is && want != zone && f.Place != verdict.Interface, "%s at %g dBFS: %s beside %s", s.name, level, zone, f.Message)
						}
					}
				}
				turns += len(zones) - 1
				if len(zones) > 1 {
					t.Logf("%s at %g dBFS, %d channels: %v", s.name, level, len(channels), zones)
				}
			}
		}
	}
	require.LessOrEqual(t, turns, 1, "turns of %d scenes; one voice grows louder", 2*5*len(speakers))
}

// The peaks that a voice is judged by live are those of a check, which 1 % of the
// blocks of 10 ms exceed: else the one says that it is too quiet, the other not.
func TestPeaksAreThoseOfACheck(t *testing.T) {
	const level = -12
	for k, s := range speakers {
		frames := scene.Interleave(scene.Add(talk(t, s, level, 45), room(-68, 45, uint64(k))))
		meter := dsp.NewMeter(rate, 1, dsp.DefaultView())
		var heard []float64
		for step := rate / 10; len(frames) >= step; frames = frames[step:] {
			meter.Process(frames[:step], frames[:step], nil)
			if r := meter.Reading(); r.Frames > 15*rate {
				heard = append(heard, r.Heard.Channels[0].SpeechOutDBTP)
			}
		}
		slices.Sort(heard)
		t.Logf("%s: %.2f to %.2f dBTP, mostly %.2f", s.name, heard[0], heard[len(heard)-1], heard[len(heard)/2])
		require.InDelta(t, level, heard[len(heard)/2], 0.9, s.name)
		require.InDelta(t, level, heard[0], 1.2, s.name)
		require.InDelta(t, level, heard[len(heard)-1], 1.2, s.name)
	}
}

// One set of controls for all of an interface's channels: the camera gets two.
func TestMoreChannelsThanTheCameraHas(t *testing.T) {
	x := clean(t, 1, speakers[4])
	for n := 1; n <= dsp.MaxChannels; n++ {
		channels := make([][]float64, n)
		for c := range channels {
			channels[c] = x
		}
		all := hear(fed, channels...)
		require.Equal(t, verdict.SafeToRoll, all[len(all)-1].Code, "%d channels: %s", n, words(all))
	}
}

// Once the microphone is turned down, its overload is past for good.
func TestSoftClippingIsForgotten(t *testing.T) {
	for k, s := range speakers {
		good := scene.Add(talk(t, s, -10, 80), room(-68, 80, 1))
		all := hear(fed, append(bend(good[:20*rate], 10+float64(k)), good...))
		t.Logf("%s: %s", s.name, words(all))
		last := len(all) - 1
		require.LessOrEqual(t, last, 3, "it comes once and goes once")
		require.Equal(t, verdict.FlatTopped, all[last-1].Code)
		require.Equal(t, verdict.SafeToRoll, all[last].Code)
		require.Less(t, all[last].at, 60.0)
	}
}
