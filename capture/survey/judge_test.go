package survey

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/verdict"
)

// findings gives the severity of each finding by its code.
func findings(t testing.TB, channels ...[]float64) map[verdict.Code]verdict.Severity {
	t.Helper()
	r, err := File(context.Background(), save(t, channels...), nil)
	require.NoError(t, err)
	all := map[verdict.Code]verdict.Severity{}
	for _, f := range r.Findings {
		all[f.Code] = f.Severity
		require.NotContains(t, f.Message, "NaN")
	}
	return all
}

func TestCleanSpeechHasNoFindings(t *testing.T) {
	cleanSpeech(t, speakers[:1], withPauses)
}

func cleanSpeech(t *testing.T, speakers []speaker, texts ...string) {
	for k, s := range speakers {
		for _, text := range texts {
			voice := speak(t, s, text)
			n, seed := len(voice), uint64(k)
			for room, noise := range map[string][2][]float64{
				"no room":   {make([]float64, n), make([]float64, n)},
				"soft hiss": {white(-75, n, seed), white(-75, n, seed+9)},
				"dark room": {dark(-55, 150, n, seed), dark(-55, 150, n, seed+9)},
			} {
				left, right := add(voice, noise[0]), add(voice, noise[1])
				name := fmt.Sprint(s.name, ", ", room)
				require.Empty(t, findings(t, left), name)
				require.Empty(t, findings(t, left, right), name)
				lower := findings(t, left, add(scale(voice, -10), noise[1]))
				delete(lower, verdict.SafetyCopy)
				require.Empty(t, lower, name)
			}
		}
	}
}

// gusts makes a level swing as wind does.
func gusts(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = v * math.Pow(10, 12*math.Sin(2*math.Pi*0.31*float64(i)/rate)/20)
	}
	return y
}

// breath is a thump every three seconds.
func breath(frames int) []float64 {
	x := make([]float64, frames)
	for i := range x {
		if t := math.Mod(float64(i)/rate, 3); t < 0.15 {
			x[i] = 0.15 * math.Sin(2*math.Pi*22*t) * math.Exp(-t*20)
		}
	}
	return x
}

// clip cuts off what is over a level, after a gain in dB.
func clip(x []float64, gainDB, level float64) []float64 {
	y := scale(x, gainDB)
	for i, v := range y {
		y[i] = max(-level, min(level, v))
	}
	return y
}

// holes takes out 5 ms every second.
func holes(x []float64) []float64 {
	y := append([]float64(nil), x...)
	for at := rate / 3; at < len(y)-rate/100; at += rate {
		clear(y[at : at+rate/200])
	}
	return y
}

func offset(x []float64, by float64) []float64 {
	y := append([]float64(nil), x...)
	for i := range y {
		y[i] += by
	}
	return y
}

func inverted(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = -0.7 * v
	}
	return y
}

func mains(hz, dBFS float64, frames int) []float64 {
	return add(tone(hz, dBFS, frames), add(tone(2*hz, dBFS-6, frames), tone(3*hz, dBFS-9, frames)))
}

func TestGradedFaultsAreFound(t *testing.T) { faultsAreFound(t, speakers[2]) }

func faultsAreFound(t *testing.T, speakers ...speaker) {
	const stop, caution = verdict.Stop, verdict.Caution
	for _, s := range speakers {
		voice := speak(t, s, withPauses) // active level about −29 dBFS
		n := len(voice)
		room := white(-72, n, 1)
		v := add(voice, room)
		for name, c := range map[string]struct {
			channels [][]float64
			code     verdict.Code
			severity verdict.Severity
		}{
			"hissing room":      {[][]float64{add(voice, white(-45, n, 2))}, verdict.NoiseHigh, caution},
			"loud room":         {[][]float64{add(voice, white(-36, n, 2))}, verdict.NoiseHigh, stop},
			"drowned":           {[][]float64{add(voice, white(-30, n, 2))}, verdict.NoiseHigh, stop},
			"hum of 50 Hz":      {[][]float64{add(v, mains(50, -60, n))}, verdict.Hum, caution},
			"loud hum of 50 Hz": {[][]float64{add(v, mains(50, -42, n))}, verdict.Hum, stop},
			"hum of 60 Hz":      {[][]float64{add(v, mains(60, -60, n)), v}, verdict.Hum, caution},
			"strong hum":        {[][]float64{add(v, mains(50, -32, n))}, verdict.Hum, stop},
			"lone strong hum":   {[][]float64{add(v, tone(50, -30, n))}, verdict.Hum, stop},
			"rumble":            {[][]float64{add(v, deep(-42, 25, n, 3))}, verdict.Rumble, caution},
			"wind":              {[][]float64{add(v, gusts(deep(-45, 25, n, 3)))}, verdict.Rumble, caution},
			"breath":            {[][]float64{add(v, breath(n))}, verdict.Rumble, caution},
			"zero line off":     {[][]float64{offset(v, 0.01)}, verdict.DCOffset, caution},
			"input too hot":     {[][]float64{clip(v, 20, 1)}, verdict.InputClipped, stop},
			"preamp too hot":    {[][]float64{clip(v, 20, 0.6)}, verdict.FlatTopped, stop},
			"holes":             {[][]float64{holes(v)}, verdict.Dropouts, caution},
			"dead channel":      {[][]float64{v, white(-80, n, 4)}, verdict.DeadChannel, caution},
			"other one dead":    {[][]float64{make([]float64, n), v}, verdict.DeadChannel, caution},
			"inverted":          {[][]float64{v, inverted(v)}, verdict.PolarityInverted, stop},
			"far too quiet":     {[][]float64{scale(v, -35)}, verdict.TooQuiet, caution},
			"silence":           {[][]float64{make([]float64, n)}, verdict.Silence, stop},
		} {
			require.Equal(t, map[verdict.Code]verdict.Severity{c.code: c.severity}, findings(t, c.channels...), "%s, %s", s.name, name)
		}
	}
}

func TestSoundWithoutAVoice(t *testing.T) { withoutAVoice(t, []float64{100}, []float64{2}) }

func withoutAVoice(t *testing.T, rooms, chords []float64) {
	onlyRoom := map[verdict.Code]verdict.Severity{verdict.NoVoice: verdict.Caution}
	for _, hz := range rooms {
		require.Equal(t, onlyRoom, findings(t, dark(-55, hz, 10*rate, 1)), "%g Hz", hz)
		require.Equal(t, onlyRoom, findings(t, dark(-55, hz, 4*rate, 1), dark(-50, hz, 4*rate, 2)), "%g Hz", hz)
	}
	traffic := gusts(dark(-50, 200, 20*rate, 1))
	require.Equal(t, onlyRoom, findings(t, traffic))
	require.Equal(t, onlyRoom, findings(t, tone(1000, -20, 10*rate)))
	withHum := findings(t, add(mains(50, -50, 10*rate), white(-70, 10*rate, 1)))
	require.Equal(t, map[verdict.Code]verdict.Severity{verdict.NoVoice: verdict.Caution, verdict.Hum: verdict.Caution}, withHum)
	for _, chord := range chords {
		require.NotContains(t, findings(t, music(20*rate, chord)), verdict.NoiseHigh)
		require.Subset(t, onlyRoom, findings(t, music(20*rate, chord)))
	}
	require.Empty(t, findings(t, white(-50, 1000, 1)), "too short to say")
	require.Empty(t, findings(t, white(-50, 1, 1)), "too short to say")
}

// music plays a chord after the other, each for so many seconds.
func music(frames int, seconds float64) []float64 {
	chords := [][]float64{{110, 220, 277.2, 329.6}, {98, 196, 246.9, 293.7}, {73.4, 146.8, 220, 293.7}, {82.4, 164.8, 207.7, 246.9}}
	x := make([]float64, frames)
	for i := range x {
		t := float64(i) / rate
		at := math.Mod(t, seconds)
		for k, hz := range chords[int(t/seconds)%4] {
			for h := 1.0; h <= 6; h++ {
				x[i] += math.Sin(2*math.Pi*hz*h*t+float64(k)) / h * math.Exp(-at*1.5) * min(1, at*200, (seconds-at)*200) * 0.05
			}
		}
	}
	return add(x, white(-70, frames, 1))
}
