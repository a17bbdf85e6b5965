package live

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/speech"
)

// rate is that of the voices: nothing need be resampled.
const rate = 22050

// speaker is a voice of espeak-ng and how it speaks; without a voice, the one in
// testdata.
type speaker struct {
	name, voice  string
	pitch, speed int
}

var speakers = []speaker{
	{"deep", "en-gb", 30, 150},
	{"lively", "en-us+m3", 60, 190},
	{"female", "en-gb+f2", 50, 160},
	{"high", "en-us+f4", 75, 175},
	{"recorded", "", 0, 0},
}

const text = "The boat left the harbour before the fog came in. We had packed bread, pears and a small tin of tea. " +
	"Nobody knew how long the crossing would take, but the pilot seemed sure of himself! " +
	"Put the box on the table, please. Why should anybody bother?"

var cache sync.Map // of spoken text by speaker

func spoken(t testing.TB, s speaker) []float64 {
	t.Helper()
	if v, ok := cache.Load(s.name); ok {
		return v.([]float64)
	}
	var x []float64
	if s.voice == "" {
		voice, hz := speech.Load(t)
		require.Equal(t, rate, hz)
		for _, v := range voice {
			x = append(x, float64(v))
		}
	} else {
		wav, err := exec.Command("espeak-ng", "-v", s.voice, "-a", "60", "-p", strconv.Itoa(s.pitch), "-s", strconv.Itoa(s.speed), "--stdout", text).Output()
		if err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("espeak-ng: %v: install the Debian package espeak-ng", err)
			}
			t.Skipf("espeak-ng: %v: install the Debian package espeak-ng to test with speech", err)
		}
		data := wav[bytes.Index(wav, []byte("data"))+8:]
		for i := 0; i+1 < len(data); i += 2 {
			x = append(x, float64(int16(uint16(data[i])|uint16(data[i+1])<<8))/32768)
		}
	}
	x = scene.Scale(x, -peaks(x))
	cache.Store(s.name, x)
	return x
}

// peaks gives the speech peaks: what 1 % of the blocks of 10 ms exceed.
func peaks(x []float64) float64 {
	size := rate / 100
	var all []float64
	for ; len(x) >= size; x = x[size:] {
		top := 0.0
		for _, v := range x[:size] {
			top = max(top, math.Abs(v))
		}
		all = append(all, top)
	}
	slices.Sort(all)
	return db.FromAmplitude(all[len(all)*99/100])
}

// talk is so many seconds of a speaker with speech peaks at a level, over and
// over.
func talk(t testing.TB, s speaker, peakDBFS, seconds float64) []float64 {
	voice := scene.Scale(spoken(t, s), peakDBFS)
	var x []float64
	for n := scene.Frames(seconds, rate); len(x) < n; {
		x = append(x, voice[:min(len(voice), n-len(x))]...)
	}
	return x
}

func room(dBFS, seconds float64, seed uint64) []float64 {
	return scene.Noise(dBFS, seconds, rate, seed)
}

// deep is noise of a level under a frequency, as rumble is.
func deep(dBFS, hz, seconds float64, seed uint64) []float64 {
	x := room(0, seconds, seed)
	a, y, z := 2*math.Pi*hz/rate, 0.0, 0.0
	sum := 0.0
	for i, v := range x {
		y += a * (v - y)
		z += a * (y - z)
		x[i] = z
		sum += z * z
	}
	return scene.Scale(x, dBFS-db.RMS(sum/float64(len(x))))
}

// gusts makes a level swing as wind does.
func gusts(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v * math.Pow(10, 12*math.Sin(2*math.Pi*0.41*float64(i)/rate)/20)
	}
	return y
}

// plosives are thumps every two seconds.
func plosives(amplitude, seconds float64) []float64 {
	x := make([]float64, scene.Frames(seconds, rate))
	for i := range x {
		if t := math.Mod(float64(i)/rate, 2); t < 0.15 {
			x[i] = amplitude * math.Sin(2*math.Pi*24*t) * math.Exp(-t*18)
		}
	}
	return x
}

func mains(hz, dBFS, seconds float64) []float64 {
	return scene.Add(scene.Sine(hz, dBFS, 0, seconds, rate), scene.Sine(2*hz, dBFS-8, 40, seconds, rate), scene.Sine(3*hz, dBFS-10, 80, seconds, rate))
}

func offset(x []float64, by float64) []float64 {
	y := slices.Clone(x)
	for i := range y {
		y[i] += by
	}
	return y
}

// clip cuts off what is over a level, after a gain in dB.
func clip(x []float64, gainDB, level float64) []float64 {
	y := scene.Scale(x, gainDB)
	for i, v := range y {
		y[i] = max(-level, min(level, v))
	}
	return y
}

// away takes the sound away, all of it, so long in every period.
func away(x []float64, seconds, period float64) []float64 {
	y := slices.Clone(x)
	for i := range y {
		if math.Mod(float64(i)/rate, period) > period-seconds {
			y[i] = 0
		}
	}
	return y
}

// bend drives a voice so far into a stage that overloads softly.
func bend(x []float64, byDB float64) []float64 {
	y := scene.Scale(x, byDB)
	for i, v := range y {
		y[i] = 0.35 * math.Tanh(2.8*v)
	}
	return y
}
