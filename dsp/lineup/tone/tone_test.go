package tone_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/lineup/tone"
)

func run(g *tone.Generator, frames, channels int) []float32 {
	block := make([]float32, frames*channels)
	for at := 0; at < len(block); at += 480 * channels {
		g.Process(block[at:min(at+480*channels, len(block))])
	}
	return block
}

// A sine's peak and its rms + 3.01 dB are its level in dBFS (AES17); its zero
// crossings count its frequency.
func TestLevelAndFrequency(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000} {
		for _, s := range []tone.Settings{tone.Default, {Hz: 1000, LevelDBFS: -18}, {Hz: 400, LevelDBFS: -6}, {Hz: 10000, LevelDBFS: -40}} {
			g := tone.New(rate, 2)
			g.Set(s)
			frames := run(g, 2*rate, 2)[2*rate:]
			square, rises := 0.0, 0
			for i := 2; i < len(frames); i += 2 {
				square += float64(frames[i]) * float64(frames[i])
				if frames[i-2] < 0 && frames[i] >= 0 {
					rises++
				}
			}
			require.InDelta(t, s.LevelDBFS, db.RMS(square/float64(len(frames)/2)), 0.01)
			require.InDelta(t, s.Hz, float64(rises), 1)
		}
	}
}

func TestSilentUntilSet(t *testing.T) {
	require.Equal(t, make([]float32, 9600), run(tone.New(48000, 2), 4800, 2))
}

// The left side rests a quarter of a second every three; the right never.
func TestIdent(t *testing.T) {
	g := tone.New(48000, 2)
	g.Set(tone.Settings{Hz: 1000, LevelDBFS: -20, Ident: true})
	frames := run(g, 6*48000, 2)
	silent := [2]int{}
	for i := 96; i < len(frames); i += 96 { // every 48 frames, one period
		for side := range 2 {
			peak := 0.0
			for k := range 48 {
				peak = max(peak, math.Abs(float64(frames[i-96+2*k+side])))
			}
			if peak < 0.001 {
				silent[side]++
			}
		}
	}
	require.InDelta(t, 2*250, silent[0], 15)
	require.LessOrEqual(t, silent[1], 2)
}

func TestChangesDoNotClick(t *testing.T) {
	g := tone.New(48000, 1)
	g.Set(tone.Settings{Hz: 1000, LevelDBFS: -1})
	frames := run(g, 4800, 1)
	for _, s := range []tone.Settings{{Hz: 1000, LevelDBFS: -40}, {Hz: 500, LevelDBFS: -1}, {Hz: 1000, LevelDBFS: math.Inf(-1)}} {
		g.Set(s)
		frames = append(frames, run(g, 4800, 1)...)
	}
	steepest := 0.0
	for i := 1; i < len(frames); i++ {
		steepest = max(steepest, math.Abs(float64(frames[i]-frames[i-1])))
	}
	require.Less(t, steepest, 0.15)
}

func TestCheck(t *testing.T) {
	require.NoError(t, tone.Default.Check())
	for _, s := range []tone.Settings{{Hz: 5, LevelDBFS: -20}, {Hz: 1000, LevelDBFS: 3}, {Hz: math.NaN(), LevelDBFS: -20}, {Hz: 1000, LevelDBFS: math.NaN()}} {
		require.Error(t, s.Check())
	}
}

func TestProcessDoesNotAllocate(t *testing.T) {
	g := tone.New(48000, 2)
	g.Set(tone.Default)
	block := make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(1000, func() { g.Process(block) }))
}

func BenchmarkProcess(b *testing.B) {
	g := tone.New(48000, 2)
	g.Set(tone.Default)
	block := make([]float32, 960)
	b.ReportAllocs()
	for b.Loop() {
		g.Process(block)
	}
}
