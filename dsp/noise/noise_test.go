package noise

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/signal"
	"rollready/dsp/weighting"
)

var rates = []int{44100, 48000, 96000, 192000}

// aOfWhite integrates the A weighting over white noise: what it takes off.
func aOfWhite(rateHz int) float64 {
	sum, n := 0.0, 0.0
	sections := weighting.Design(weighting.A, rateHz)
	for hz := 5.0; hz < float64(rateHz)/2; hz += 10 {
		sum += db.ToPower(filter.ResponseDB(sections, hz, float64(rateHz)))
		n++
	}
	return db.FromPower(sum / n)
}

func TestSteadyNoiseReadsItsLevel(t *testing.T) {
	for _, rate := range rates {
		m := New(rate, 2)
		m.Process(scene.Interleave(scene.Noise(-62, 6, rate, 1), scene.Noise(-47, 6, rate, 2)))
		for c, level := range []float64{-62, -47} {
			require.InDelta(t, level, m.MeanDBFS(c), 0.1)
			require.InDelta(t, level, m.FloorDBFS(c), 0.3)
			require.InDelta(t, level+aOfWhite(rate), m.MeanDBA(c), 0.15)
			require.InDelta(t, level+aOfWhite(rate), m.FloorDBA(c), 0.4)
		}
	}
}

// IEC 61672-1: both weightings agree at 1 kHz.
func TestToneReadsTheSameInBoth(t *testing.T) {
	m := New(48000, 1)
	m.Process(scene.Interleave(scene.Sine(1000, -30, 0, 3, 48000)))
	require.InDelta(t, -30, m.MeanDBFS(0), 0.01)
	require.InDelta(t, -30, m.MeanDBA(0), 0.02)
}

// Talk over a fifth of quiet: the floor is the quiet's.
func TestFloorUnderTalk(t *testing.T) {
	var x []float64
	for i := range 10 {
		x = append(x, scene.Noise(-20, 1.6, 48000, uint64(i))...)
		x = append(x, scene.Silence(0.4, 48000)...)
	}
	m := New(48000, 1)
	m.Process(scene.Interleave(scene.Add(x, scene.Noise(-65, 20, 48000, 99))))
	require.InDelta(t, -65, m.FloorDBFS(0), 0.5)
	require.InDelta(t, -20, m.VoiceDBFS(0, -65), 0.3)
	require.InDelta(t, 0.8, m.ActiveShare(0, -65, 10), 0.03)
}

// The level of a voice without the noise, from 5 to 50 dB above it.
func TestVoiceWithoutNoise(t *testing.T) {
	for snr := 5.0; snr <= 50; snr += 5 {
		talk := append(scene.Noise(-30, 6, 48000, 1), scene.Silence(2, 48000)...)
		m := New(48000, 1)
		m.Process(scene.Interleave(scene.Add(talk, scene.Noise(-30-snr, 8, 48000, 2))))
		require.InDelta(t, -30, m.VoiceDBFS(0, -30-snr), 0.3, "at %g dB", snr)
	}
	m := New(48000, 1)
	m.Process(scene.Interleave(scene.Noise(-60, 2, 48000, 1)))
	require.True(t, math.IsInf(m.VoiceDBFS(0, -59), -1))
}

func TestGainBlocksAndSilence(t *testing.T) {
	x := scene.Noise(-40, 3, 48000, 5)
	whole, louder := New(48000, 1), New(48000, 1)
	scene.InBlocks(scene.Interleave(x), 1, whole.Process)
	louder.Process(scene.Interleave(scene.Scale(x, 11)))
	require.InDelta(t, whole.MeanDBFS(0)+11, louder.MeanDBFS(0), 1e-4)
	require.InDelta(t, whole.FloorDBA(0)+11, louder.FloorDBA(0), 0.1)
	before := whole.FloorDBFS(0)
	whole.Process(make([]float32, 480000))
	require.Equal(t, before, whole.FloorDBFS(0))
	whole.Reset()
	require.True(t, math.IsInf(whole.FloorDBFS(0), -1))
	require.True(t, math.IsInf(whole.MeanDBA(0), -1))
	whole.Process([]float32{float32(math.NaN()), float32(math.Inf(1))})
	whole.Process(make([]float32, 9600))
	require.False(t, math.IsNaN(whole.MeanDBA(0)))
}

func TestNoAllocation(t *testing.T) {
	m, x := New(48000, 2), make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(100, func() { m.Process(x) }))
}

func BenchmarkNoise(b *testing.B) {
	x := scene.Interleave(scene.Noise(-20, 1, 48000, 1), scene.Noise(-30, 1, 48000, 2))
	m := New(48000, 2)
	b.ReportAllocs()
	for b.Loop() {
		m.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}

// The sections in one loop give what one after the other gives.
func TestWeightingEqualsTheSections(t *testing.T) {
	sections := weighting.Design(weighting.A, 48000)
	var state [3]filter.State
	var h heard
	var got sums
	x := signal.Noise(0.5, 48000, 1)
	h.add(&got, (*[3]filter.Biquad)(sections), x, 1)
	want := sums{}
	for _, v := range x {
		y := float64(v)
		want.dc += y
		want.flat += y * y
		for k := range sections {
			y = state[k].Step(&sections[k], y)
		}
		want.heard += y * y
	}
	require.InEpsilon(t, want.heard, got.heard, 1e-12)
	require.Equal(t, []float64{want.dc, want.flat}, []float64{got.dc, got.flat})
}

// A steady offset has no noise; rounding makes its power a little less than
// nothing.
func TestASteadyOffsetIsNoNoise(t *testing.T) {
	for _, level := range []float32{0.1, 0.3, 1e-3, 12345.678, 1e30} {
		m := New(48000, 1)
		block := make([]float32, 3*48000)
		for i := range block {
			block[i] = level
		}
		m.Process(block)
		require.Less(t, m.FloorDBFS(0), db.FromAmplitude(float64(level))-60)
	}
}

// Two channels measured side by side are what each is by itself.
func TestAPairIsTwoChannels(t *testing.T) {
	left, right := scene.Noise(-30, 3, 48000, 1), scene.Noise(-50, 3, 48000, 2)
	both, one, other := New(48000, 2), New(48000, 1), New(48000, 1)
	for range 2 {
		both.Process(scene.Interleave(left, right))
		one.Process(scene.Interleave(left))
		other.Process(scene.Interleave(right))
		for ch, alone := range []*Meter{one, other} {
			require.Equal(t, alone.FloorDBFS(0), both.FloorDBFS(ch))
			require.Equal(t, alone.FloorDBA(0), both.FloorDBA(ch))
		}
		both.Reset()
		one.Reset()
		other.Reset()
	}
}
