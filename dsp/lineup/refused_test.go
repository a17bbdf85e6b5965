package lineup_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/lineup/find"
)

func TestRefusedClips(t *testing.T) {
	c := plain()
	left, right := sequenceWith(speech(2, -15, 1), speech(2, -15, 2))
	whole := c.record(left, right)
	part := func(from, to float64) []float32 { return whole[2*int(from*48000) : 2*int(to*48000)] }
	without := func(from, seconds float64) []float32 {
		return append(append([]float32{}, part(0, from)...), whole[2*int((from+seconds)*48000):]...)
	}
	end := float64(len(whole)) / 2 / 48000
	loud := plain()
	loud.gainDB = 55
	faint := plain()
	faint.gainDB, faint.noiseDBFS = -40, -33
	for name, test := range map[string]struct {
		clip   []float32
		reason find.Reason
	}{
		"silence":               {make([]float32, 2*48000*50), find.Silent},
		"nothing":               {nil, find.Silent},
		"cut off in the ladder": {part(0, 12), find.CutOff},
		"cut off in the sweep":  {part(0, 20), find.CutOff},
		"cut off near the end":  {part(0, end-3.2), find.CutOff},
		"started late":          {part(4.5, end), find.StartsLate},
		"started later":         {part(25, end), find.StartsLate},
		"the middle":            {part(6, 30), find.TooShort},
		"speech":                {stereo(speech(45, -10, 3)), find.NoSequence},
		"short speech":          {stereo(speech(10, -10, 3)), find.TooShort},
		"music":                 {stereo(music(60, 1)), find.NoSequence},
		"gliding tones":         {stereo(glides(60)), find.NoSequence},
		"noise":                 {stereo(hiss(60)), find.NoSequence},
		"1 s missing":           {without(20, 1), find.Broken},
		"20 ms missing":         {without(20, 0.020), find.Broken},
		"5 ms in the ladder":    {without(10, 0.0053), find.Broken},
		"1 ms after the burst":  {without(34, 0.0013), find.Broken},
		"overloaded":            {loud.record(left, right), find.Overloaded},
		"faint":                 {faint.record(left, right), find.TooFaint},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := analyse(test.clip, 48000, 2)
			var refusal *find.Refusal
			require.ErrorAs(t, err, &refusal)
			require.Equal(t, test.reason, refusal.Reason, refusal.Text)
			require.NotContains(t, refusal.Text, "\n")
		})
	}
}

// A second try in the same clip is found behind a broken first.
func TestSecondTryCounts(t *testing.T) {
	c := plain()
	left, right := sequenceWith(nil, nil)
	half := len(left) / 2
	clip := c.record(append(append([]float64{}, left[:half]...), left...), append(append([]float64{}, right[:half]...), right...))
	res, err := analyse(clip, 48000, 2)
	require.NoError(t, err)
	require.InDelta(t, 0, float64(res.OffsetDB), 0.05)
}

func TestBrokenSamplesCountAsSilence(t *testing.T) {
	c := plain()
	clip := c.record(sequenceWith(speech(1, -20, 1), nil))
	for i := range 500 {
		clip[i] = float32([]float64{math.NaN(), math.Inf(1), math.Inf(-1)}[i%3])
	}
	res, err := analyse(clip, 48000, 2)
	require.NoError(t, err)
	require.InDelta(t, 0, float64(res.OffsetDB), 0.05)
}

func stereo(x []float64) []float32 {
	frames := make([]float32, 0, 2*len(x))
	for _, v := range x {
		frames = append(frames, float32(v), float32(v))
	}
	return frames
}

func hiss(seconds int) []float64 {
	rng := rand.New(rand.NewPCG(4, 4))
	x := make([]float64, 48000*seconds)
	for i := range x {
		x[i] = 0.3 * rng.NormFloat64()
	}
	return x
}

// glides is a tone that changes its glide four times a second.
func glides(seconds int) []float64 {
	rng := rand.New(rand.NewPCG(2, 2))
	x := make([]float64, 48000*seconds)
	phase, hz, glide := 0.0, 400.0, 0.0
	for i := range x {
		if i%12000 == 0 {
			hz, glide = 300+2000*rng.Float64(), 3000*rng.NormFloat64()
		}
		hz = max(100, min(3000, hz+glide/48000))
		phase += hz / 48000
		x[i] = 0.3 * math.Sin(2*math.Pi*phase)
	}
	return x
}

// music is chords of gliding, decaying notes with a beat, at 48 kHz.
func music(seconds int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 8))
	x := make([]float64, 48000*seconds)
	for start := 0; start+24000 < len(x); start += 12000 {
		hz, glide := 110*math.Pow(2, float64(rng.IntN(48))/12), 0.3*rng.NormFloat64()
		phase := 0.0
		for i := range min(36000, len(x)-start) {
			t := float64(i) / 48000
			phase += hz * math.Exp(glide*t) / 48000
			tone := math.Sin(2*math.Pi*phase) + 0.4*math.Sin(4*math.Pi*phase) + 0.2*math.Sin(6*math.Pi*phase)
			x[start+i] += 0.15 * math.Exp(-3*t) * tone
		}
		for i := range 2000 {
			x[start+i] += 0.2 * math.Exp(-float64(i)/300) * rng.NormFloat64()
		}
	}
	return x
}
