package phrase

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/speech"
)

const rateHz = 48000

func TestMemoryHoldsTheLastSeconds(t *testing.T) {
	m := NewMemory(1000, 2, 0.5)
	var all []float32
	for n := 1; len(all) < 5000; n = n*3%701 + 1 {
		block := make([]float32, 2*n)
		for i := range block {
			block[i] = float32(len(all) + i)
		}
		all = append(all, block...)
		m.Add(block)
		require.Equal(t, all[max(0, len(all)-1000):], m.Take())
	}
	m.Reset()
	require.Empty(t, m.Take())
}

func TestTooShortIsSaidSo(t *testing.T) {
	m := NewMemory(rateHz, 1, 10)
	m.Add(make([]float32, rateHz/2))
	_, err := m.Loop()
	require.ErrorIs(t, err, ErrTooShort)
}

func rounds(t *testing.T, frames []float32, rateHz, channels, n int) (loop *Loop, out []float32) {
	loop, err := NewLoop(frames, rateHz, channels)
	require.NoError(t, err)
	out = make([]float32, n*len(loop.frames))
	p := NewPlayer(loop)
	for at := 0; at < len(out); at += 480 {
		p.Read(out[at:min(len(out), at+480)])
	}
	return loop, out
}

// A steady tone, which has no quiet place at all, loops without a trace: three
// rounds are one sine.
func TestToneLoopsSeamlessly(t *testing.T) {
	const hz = 333.3
	x := make([]float32, 10*rateHz)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*hz*float64(i)/rateHz))
	}
	loop, out := rounds(t, x, rateHz, 1, 3)
	w := 2 * math.Pi * hz / rateHz
	for i := 2; i < len(out); i++ {
		bend := math.Abs(float64(out[i]) - 2*float64(out[i-1]) + float64(out[i-2]))
		require.Less(t, bend, 1.02*0.5*w*w, "frame %d", i)
	}
	require.Greater(t, loop.Seconds(), 6.0)
}

// Noise keeps its power through the seam.
func TestNoiseKeepsItsPowerAtTheSeam(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	seam, fade := 0.0, int(fadeSeconds*rateHz)
	const trials = 10
	for range trials {
		x := make([]float32, 4*rateHz)
		for i := range x {
			x[i] = float32(0.1 * r.NormFloat64())
		}
		loop, _ := rounds(t, x, rateHz, 2, 1)
		for _, v := range loop.frames[len(loop.frames)-2*fade:] {
			seam += float64(v) * float64(v) / float64(2*fade) / trials
		}
	}
	require.InDelta(t, 0, 10*math.Log10(seam/0.01), 0.5)
}

// A voice loops in a pause: the seam is no louder and no steeper than the
// voice, and lies where it is quiet.
func TestVoiceLoopsInAPause(t *testing.T) {
	voice, hz := speech.Load(t)
	loop, out := rounds(t, voice, hz, 1, 2)
	n, fade := loop.Frames(), int(fadeSeconds*float64(hz))
	rms := func(x []float32) float64 {
		sum := 0.0
		for _, v := range x {
			sum += float64(v) * float64(v)
		}
		return 10 * math.Log10(sum/float64(len(x))+1e-12)
	}
	require.Less(t, rms(out[n-fade:n+fade]), rms(voice)-20)
	require.Greater(t, loop.Seconds(), 0.6*float64(len(voice))/float64(hz))
	for i := n - fade; i < n+fade; i++ {
		require.Less(t, math.Abs(float64(out[i]-out[i-1])), 0.02)
	}
	require.Equal(t, out[:n], out[n:])
}

func TestStereoStaysInStep(t *testing.T) {
	x := make([]float32, 2*3*rateHz)
	for i := range 3 * rateHz {
		v := float32(0.3 * math.Sin(float64(i)*0.02))
		x[2*i], x[2*i+1] = v, -v
	}
	_, out := rounds(t, x, rateHz, 2, 2)
	for i := 0; i < len(out); i += 2 {
		require.Equal(t, out[i], -out[i+1])
	}
}

func TestAddAndReadDoNotAllocate(t *testing.T) {
	m := NewMemory(rateHz, 2, 2)
	block := make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(300, func() { m.Add(block) }))
	loop, err := m.Loop()
	require.NoError(t, err)
	p := NewPlayer(loop)
	require.Zero(t, testing.AllocsPerRun(300, func() { p.Read(block) }))
}

func BenchmarkNewLoop(b *testing.B) {
	x := make([]float32, 2*10*rateHz)
	for i := range x {
		x[i] = float32(math.Sin(float64(i) * 0.01))
	}
	for b.Loop() {
		if _, err := NewLoop(x, rateHz, 2); err != nil {
			b.Fatal(err)
		}
	}
}
