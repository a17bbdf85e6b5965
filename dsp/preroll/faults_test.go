package preroll

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/scene"
	"rollready/dsp/verdict"
)

// rumble is noise under 60 Hz of a level.
func rumble(levelDBFS, seconds float64, rateHz int) []float64 {
	x := through(filter.LowPass(filter.Cut{Hz: 60, Slope: 24}, rateHz), scene.Noise(0, seconds, rateHz, 77))
	return scene.Scale(x, levelDBFS-rms(x))
}

func through(sections []filter.Biquad, x []float64) []float64 {
	for _, section := range sections {
		var s filter.State
		for i, v := range x {
			x[i] = s.Step(&section, v)
		}
	}
	return x
}

// fault is one thing wrong at graded strength, in the order of the strengths.
type fault struct {
	code      verdict.Code
	stereo    bool // needs two channels
	strengths []float64
	unit      string
	do        func(t take, strength float64) take
}

const peakDBTP = -12 // speech peaks of every scene

var faults = []fault{
	{verdict.InputClipped, false, []float64{3, 6, 9, 12}, "dB over", func(t take, s float64) take {
		gain := s - db.FromAmplitude(slices.Max(t.voice[0]))
		return t.each(func(x []float64, _ bool) []float64 { return clip(scene.Scale(x, gain), 1) })
	}},
	{verdict.FlatTopped, false, []float64{-9, -12, -15, -20}, "dBFS", func(t take, s float64) take {
		return t.each(func(x []float64, _ bool) []float64 { return clip(scene.Scale(x, 4), db.ToAmplitude(s)) })
	}},
	{verdict.NoiseHigh, false, []float64{18, 14, 10, 6}, "dB SNR", func(t take, s float64) take {
		noise := through(filter.LowPass(filter.Cut{Hz: 10000, Slope: 24}, t.rateHz), scene.Noise(0, 16, t.rateHz, 5))
		return t.add(scene.Scale(noise, -24-s-rms(noise)))
	}},
	{verdict.Hum, false, []float64{-70, -60, -50, -40}, "dBFS", func(t take, s float64) take {
		return t.add(scene.Add(scene.Sine(50, s-1, 0, 16, t.rateHz), scene.Sine(150, s-7, 0, 16, t.rateHz)))
	}},
	{verdict.Rumble, false, []float64{-48, -42, -36, -30}, "dBFS", func(t take, s float64) take {
		return t.add(rumble(s, 16, t.rateHz))
	}},
	{verdict.DCOffset, false, []float64{0.005, 0.01, 0.03, 0.1}, "FS", func(t take, s float64) take {
		return t.each(func(x []float64, _ bool) []float64 { return shift(x, s) })
	}},
	{verdict.DeadChannel, true, []float64{45, 60, 100, 400}, "dB down", func(t take, s float64) take {
		t.room[1] = scene.Noise(-90, 5, t.rateHz, 9)
		t.voice[1] = scene.Add(scene.Scale(t.voice[1], -s), scene.Noise(-90, 10, t.rateHz, 8))
		return t
	}},
	{verdict.PolarityInverted, true, []float64{0, 3, 6, 12}, "dB apart", func(t take, s float64) take {
		t.voice[1] = scene.Scale(t.voice[1], -s)
		for i := range t.voice[1] {
			t.voice[1][i] *= -1
		}
		return t
	}},
	{verdict.TooQuiet, false, []float64{20, 30, 40, 50}, "dB down", func(t take, s float64) take {
		return t.each(func(x []float64, _ bool) []float64 { return scene.Scale(x, -s) })
	}},
	{verdict.TooHot, false, []float64{4, 6, 8, 10}, "dB up", func(t take, s float64) take {
		return t.each(func(x []float64, _ bool) []float64 { return scene.Scale(x, s) })
	}},
	{verdict.Silence, false, []float64{-130, -110, -100, -90}, "dBFS", func(t take, s float64) take {
		return t.each(func(x []float64, _ bool) []float64 {
			return scene.Noise(s, float64(len(x))/float64(t.rateHz), t.rateHz, 3)
		})
	}},
	{verdict.NoVoice, false, []float64{-70, -55, -40, -30}, "dBFS", func(t take, s float64) take {
		noise := scene.Noise(s, 15, t.rateHz, 4)
		return t.each(func(x []float64, room bool) []float64 {
			if room {
				return noise[:len(x)]
			}
			return noise[5*t.rateHz : 5*t.rateHz+len(x)]
		})
	}},
	{verdict.Dropouts, false, []float64{2, 5, 10, 40}, "ms", func(t take, s float64) take {
		return t.each(func(x []float64, room bool) []float64 {
			for k := 1; k < 8 && !room; k++ {
				clear(x[k*t.rateHz : k*t.rateHz+int(s*float64(t.rateHz)/1000)])
			}
			return x
		})
	}},
}

// thumps and gusts share the code of rumble.
func plosives(t take, strength float64) take {
	return t.each(func(x []float64, room bool) []float64 {
		for k := 0; k < 6 && !room; k++ {
			at, rate := (k+1)*t.rateHz*3/2, float64(t.rateHz)
			for i := range t.rateHz / 8 {
				s := float64(i) / rate
				x[at+i] += db.ToAmplitude(strength) * math.Sin(2*math.Pi*28*s) * math.Exp(-s/0.03) * min(1, s/0.005)
			}
		}
		return x
	})
}

func gusts(t take, strength float64) take {
	wind := rumble(strength, 16, t.rateHz)
	for i := range wind {
		wind[i] *= db.ToAmplitude(8 * math.Sin(2*math.Pi*0.6*float64(i)/float64(t.rateHz)))
	}
	return t.add(wind)
}

func (t take) each(do func(x []float64, room bool) []float64) take {
	for c := range t.room {
		t.room[c], t.voice[c] = do(t.room[c], true), do(t.voice[c], false)
	}
	return t
}

func (t take) add(x []float64) take {
	return t.each(func(part []float64, room bool) []float64 {
		if room {
			return scene.Add(part, x[:len(part)])
		}
		return scene.Add(part, x[5*t.rateHz:5*t.rateHz+len(part)])
	})
}

func clip(x []float64, at float64) []float64 {
	for i, v := range x {
		x[i] = max(-at, min(v, at))
	}
	return x
}

func shift(x []float64, by float64) []float64 {
	for i := range x {
		x[i] += by
	}
	return x
}

// Every fault at every strength is found, and nothing else of weight with it
// but what follows from it. The table is printed.
func TestFaultsAreFound(t *testing.T) {
	all := append(faults,
		fault{verdict.Rumble, false, []float64{-14, -8, -4, 0}, "dBFS thumps", plosives},
		fault{verdict.Rumble, false, []float64{-45, -40, -32, -22}, "dBFS gusts", gusts})
	var table strings.Builder
	missed, alarms, scenes := 0, 0, 0
	for i, f := range all {
		found, wrong := 0, 0
		strengths := some(t, f.strengths)
		for k, strength := range strengths {
			for _, s := range some(t, []speaker{speakers[(i+k)%4], speakers[(i+k+1)%4]}) {
				channels, rate := 1+(k+i)%2, []int{48000, 44100, 96000}[(i+k)%3]
				if f.stereo {
					channels = 2
				}
				clean := in(speech(t, s, peakDBTP, rate), -72, channels, rate, white)
				r := f.do(clean, strength).check(t, at(peakDBTP))
				scenes++
				hit, others := has(r, f.code), unrelated(r, f.code)
				if !hit {
					missed++
					t.Errorf("%s at %g %s, %s, %d Hz, %d channels: missed; %+v", f.code, strength, f.unit, s.name, rate, channels, r)
				} else {
					found++
				}
				if len(others) > 0 {
					alarms++
					wrong++
					t.Errorf("%s at %g %s, %s: also %v", f.code, strength, f.unit, s.name, others)
				}
			}
		}
		fmt.Fprintf(&table, "%-18s %-12s %d of %d found, %d false alarms\n", f.code, f.unit, found, len(strengths)*len(some(t, speakers[:2])), wrong)
	}
	t.Logf("%d scenes, %d faults missed, %d false alarms\n%s", scenes, missed, alarms, table.String())
}

func has(r Result, code verdict.Code) bool {
	for _, f := range r.Findings {
		if f.Code == code {
			return true
		}
	}
	return false
}

// follows lists what may rightly be found along with a fault.
var follows = map[verdict.Code][]verdict.Code{
	verdict.InputClipped: {verdict.TooHot, verdict.FlatTopped, verdict.DCOffset},
	verdict.FlatTopped:   {verdict.TooHot, verdict.TooQuiet},
	verdict.NoiseHigh:    {verdict.TooHot, verdict.Rumble},
	verdict.Hum:          {verdict.Rumble},
	verdict.DCOffset:     {verdict.TooHot},
	verdict.TooQuiet:     {verdict.NoiseHigh},
	verdict.Rumble:       {verdict.TooHot, verdict.InputClipped},
	verdict.NoVoice:      {verdict.NoiseHigh},
}

func unrelated(r Result, code verdict.Code) (codes []verdict.Code) {
	for _, f := range r.Findings {
		ok := f.Code == code || f.Severity == verdict.Info
		for _, c := range follows[code] {
			ok = ok || f.Code == c
		}
		if !ok {
			codes = append(codes, f.Code)
		}
	}
	return codes
}

// TestOverloadIsSaidOnce: what overloads does not only come near it.
func TestOverloadIsSaidOnce(t *testing.T) {
	clean := in(speech(t, speakers[2], peakDBTP, 48000), -72, 1, 48000, white)
	for _, f := range faults {
		if f.code == verdict.InputClipped {
			for _, found := range f.do(clean, 9).check(t, at(peakDBTP)).Findings {
				require.NotContains(t, found.Message, "one laugh")
				if found.Code == verdict.InputClipped {
					require.Contains(t, found.Action, "down 12 dB or more at the interface")
				}
			}
		}
	}
}

// Each fault has the severity its weight calls for.
func TestSeverities(t *testing.T) {
	for _, c := range []struct {
		code     verdict.Code
		strength float64
		verdict  verdict.Verdict
	}{
		{verdict.InputClipped, 6, verdict.NotReady}, {verdict.FlatTopped, -15, verdict.NotReady},
		{verdict.NoiseHigh, 18, verdict.Cautious}, {verdict.NoiseHigh, 6, verdict.NotReady},
		{verdict.Hum, -60, verdict.Cautious}, {verdict.Hum, -30, verdict.NotReady},
		{verdict.Rumble, -36, verdict.Cautious}, {verdict.DCOffset, 0.01, verdict.Cautious},
		{verdict.TooQuiet, 2, verdict.Ready}, {verdict.TooQuiet, 20, verdict.Cautious},
		{verdict.TooHot, 10, verdict.NotReady}, {verdict.Silence, -110, verdict.NotReady},
		{verdict.NoVoice, -55, verdict.NotReady}, {verdict.Dropouts, 10, verdict.Cautious},
	} {
		for _, f := range faults {
			if f.code == c.code {
				clean := in(speech(t, speakers[2], peakDBTP, 48000), -72, 1, 48000, white)
				r := f.do(clean, c.strength).check(t, at(peakDBTP))
				require.Equal(t, c.verdict, r.Verdict, "%s at %g: %+v", c.code, c.strength, r.Findings)
			}
		}
	}
}

// TestHumIsSaidWithoutAVoice: it needs none to be heard.
func TestHumIsSaidWithoutAVoice(t *testing.T) {
	take := in(speech(t, speakers[2], peakDBTP, 48000), -72, 1, 48000, white)
	for _, f := range faults {
		if f.code == verdict.NoVoice {
			take = f.do(take, -70)
		}
	}
	take = take.add(scene.Sine(50, -45, 0, 16, 48000))
	found := take.check(t, at(peakDBTP)).Findings
	require.True(t, slices.ContainsFunc(found, func(f verdict.Finding) bool { return f.Code == verdict.NoVoice }))
	require.True(t, slices.ContainsFunc(found, func(f verdict.Finding) bool { return f.Code == verdict.Hum }))
}

// TestLevelsAreToldWithoutAVoice: noise that nobody speaks over, at the levels of
// a nearly full input, a camera that is overloaded, a loud room, and next to
// nothing.
func TestLevelsAreToldWithoutAVoice(t *testing.T) {
	for _, c := range []struct {
		room, sound, gain float64
		code              verdict.Code
		says              string
	}{
		{-70, -10, -20, verdict.TooHot, "nearly fills the input"},
		{-70, -20, 25, verdict.TooHot, "overload the camera by"},
		{-35, -35, 0, verdict.NoiseHigh, "a voice in the target window would stand only"},
		{-75, -72, 0, verdict.TooQuiet, "only reaches −62 dBFS"},
	} {
		made := take{48000, [][]float64{scene.Noise(c.room, 5, 48000, 1)}, [][]float64{scene.Noise(c.sound, 10, 48000, 2)}}
		setup := at(peakDBTP)
		setup.Chain.GainDB = c.gain
		found := made.check(t, setup).Findings
		i := slices.IndexFunc(found, func(f verdict.Finding) bool { return f.Code == c.code })
		require.GreaterOrEqual(t, i, 0, "%+v: %+v", c, found)
		require.Contains(t, found[i].Message, c.says)
		require.True(t, slices.ContainsFunc(found, func(f verdict.Finding) bool { return f.Code == verdict.NoVoice }), found)
	}
	quiet := take{48000, [][]float64{scene.Noise(-62, 5, 48000, 1)}, [][]float64{scene.Noise(-46, 10, 48000, 2)}}
	require.Len(t, quiet.check(t, at(peakDBTP)).Findings, 1, "nothing but that nobody speaks")
}
