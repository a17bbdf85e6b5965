package spectrum

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/reference"
	"rollready/dsp/internal/scene"
)

const (
	rate = 3000
	size = 4096
)

func average(x []float64) Average {
	w := New(rate, size, 1200)
	w.Process(x)
	return w.Quiet(1)
}

// The window's figures against scipy (windows.csv): coherent gain 1/2, noise
// bandwidth 1.5 bins.
func TestWindowIsTheTabledHann(t *testing.T) {
	w := New(rate, size, 1200)
	sum, square := 0.0, 0.0
	for _, v := range w.window {
		sum, square = sum+v, square+v*v
	}
	for _, row := range reference.Rows(t, "windows.csv") {
		if row["window"] == "hann" {
			require.InDelta(t, row.Float(t, "coherent_gain"), sum/size, 1e-6)
			require.InDelta(t, row.Float(t, "enbw_bins"), size*square/sum/sum, 1e-6)
			return
		}
	}
	t.Fatal("no row hann")
}

// A tone reads its level and frequency wherever it falls between two bins;
// the parabola is off by at most 0.04 bins for a Hann window (computed).
func TestToneLevelAndFrequency(t *testing.T) {
	for _, hz := range []float64{49.7, 50, 50.13, 50.31, 60.5, 100.2, 1000.4} {
		a := average(scene.Sine(hz, -31, 20, 4, rate))
		require.InDelta(t, -31, db.RMS(a.Band(hz-4, hz+4)), 0.05)
		peak := a.Bin(hz)
		for _, i := range []int{peak - 1, peak + 1} {
			if a.Power[i] > a.Power[peak] {
				peak = i
			}
		}
		require.InDelta(t, hz, a.PeakHz(peak), 0.05)
		require.Greater(t, a.Steady[peak], 0.99)
	}
}

// White noise has its mean square spread evenly; its bins are unsteady: the
// geometric mean of an exponential is e^−γ of the arithmetic, −2.51 dB.
func TestNoise(t *testing.T) {
	a := average(scene.Noise(-20, 120, rate, 4))
	require.InDelta(t, -20+db.FromPower(600.0/1500), db.RMS(a.Band(300, 900)), 0.1)
	steady := 0.0
	for _, s := range a.Steady[100:1000] {
		steady += s / 900
	}
	require.InDelta(t, math.Exp(-0.5772), steady, 0.01)
}

// The quiet share leaves loud stretches out.
func TestQuietLeavesLoudPiecesOut(t *testing.T) {
	loud := scene.Sine(440, -10, 0, 20, rate)
	x := append(append(scene.Noise(-60, 20, rate, 5), loud...), scene.Noise(-60, 20, rate, 6)...)
	w := New(rate, size, 1200)
	w.Process(x)
	require.Less(t, db.RMS(w.Quiet(0.4).Band(430, 450)), -70.0)
	require.InDelta(t, -14.8, db.RMS(w.Quiet(1).Band(430, 450)), 0.5)
	w.Reset()
	require.Zero(t, w.Quiet(1).Pieces)
}

// A signal shorter than one piece keeps its level.
func TestFlushReadsShortSignals(t *testing.T) {
	w := New(rate, size, 1200)
	w.Process(scene.Sine(200, -31, 0, 0.7, rate))
	w.Flush()
	require.InDelta(t, -31, db.RMS(w.Quiet(1).Band(190, 210)), 0.1)
	w.Process(scene.Sine(200, -31, 0, 1.6, rate))
	w.Flush()
	require.Equal(t, 2, w.Quiet(1).Pieces)
}

func BenchmarkWelch(b *testing.B) {
	w, x := New(rate, size, 1200), scene.Noise(-20, 60, rate, 1)
	b.ReportAllocs()
	for b.Loop() {
		w.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)*16), "ns/sample-at-48k")
}
