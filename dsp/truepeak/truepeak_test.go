package truepeak

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/reference"
	"rollready/dsp/internal/scene"
)

func measure(rateHz int, x []float64) float64 {
	m := New(rateHz, 1)
	m.Process(scene.Interleave(x))
	return db.FromAmplitude(m.Max(0))
}

// ITU-R BS.1770-5 Annex 2, table of the order-48 FIR, all four phases.
func TestTapsAreThePrintedOnes(t *testing.T) {
	found := 0
	for _, row := range reference.Rows(t, "true_peak.csv") {
		var phase, tap int
		if row["kind"] != "coef" {
			continue
		}
		_, err := fmt.Sscanf(row["key"], "phase%d_tap%d", &phase, &tap)
		require.NoError(t, err)
		at := tap
		if phase > 1 {
			phase, at = 3-phase, history-tap
		}
		require.Equal(t, row.Float(t, "value"), taps[phase][at]/tapScale, row["key"])
		found++
	}
	require.Equal(t, 48, found)
}

// EBU Tech 3341 Table 1 cases 15–19: expected +0.2/−0.4 dBTP.
func TestTech3341Cases15To19(t *testing.T) {
	for _, c := range []struct {
		name                    string
		fraction, degrees, peak float64
		expected                float64
	}{
		{"15", 4, 0, 0.5, -6}, {"16", 4, 45, 0.5, -6}, {"17", 6, 60, 0.5, -6}, {"18", 8, 67.5, 0.5, -6}, {"19", 4, 45, 1.41, 3},
	} {
		for _, rate := range []int{44100, 48000, 88200, 96000} {
			x := scene.Sine(float64(rate)/c.fraction, db.FromAmplitude(c.peak), c.degrees, 1, rate)
			got := measure(rate, fade(x, rate/100))
			require.InDelta(t, c.expected-0.1, got, 0.3, "case %s at %d Hz", c.name, rate)
		}
	}
}

// The same tones where the rate is so high that the samples alone are dense
// enough: fs/4 of 48 kHz, read at 176.4 and 192 kHz, same tolerance.
func TestSamplesSufficeAtHighRates(t *testing.T) {
	for _, rate := range []int{176400, 192000} {
		for degrees := 0.0; degrees < 90; degrees += 7.5 {
			x := fade(scene.Sine(12000, -6.0206, degrees, 0.5, rate), rate/100)
			require.InDelta(t, -6.1, measure(rate, x), 0.3)
		}
	}
}

// EBU Tech 3341 Table 1 cases 20–23 from the ready-made signals (see the head
// of true_peak_cases20_23.csv): 0 +0.2/−0.4 dBTP.
func TestTech3341Cases20To23(t *testing.T) {
	rows := reference.Rows(t, "true_peak_cases20_23.csv")
	require.Len(t, rows, 240)
	for c := 20; c <= 23; c++ {
		x := make([]float64, len(rows))
		for i, row := range rows {
			x[i] = row.Float(t, "case"+strconv.Itoa(c))
		}
		for _, rate := range []int{48000, 96000} {
			require.InDelta(t, -0.1, measure(rate, fade(x, 20)), 0.3, "case %d at %d Hz", c, rate)
		}
	}
}

func fade(x []float64, frames int) []float64 {
	for i := range frames {
		x[i] *= float64(i) / float64(frames)
		x[len(x)-1-i] *= float64(i) / float64(frames)
	}
	return x
}

// plain is the printed filter without any short cut.
func plain(x []float32) float64 {
	top := 0.0
	at := func(i int) float64 {
		if i < 0 {
			return 0
		}
		return float64(x[i])
	}
	for n := range x {
		top = max(top, math.Abs(float64(x[n])))
		for phase := range 4 {
			y := 0.0
			for tap := range tapCount {
				c := taps[min(phase, 3-phase)][tap]
				if phase > 1 {
					c = taps[3-phase][history-tap]
				}
				y += c / tapScale * at(n-tap)
			}
			top = max(top, math.Abs(y))
		}
	}
	return top
}

// Skipping loses nothing: equal to the plain filter to rounding, and equal to
// the meter without skipping to the last bit.
func TestSkippingIsExact(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	for range 200 {
		x := make([]float32, 1+random.IntN(900))
		tone := random.Float64() * math.Pi
		for i := range x {
			x[i] = float32((random.NormFloat64()*random.Float64() + math.Sin(tone*float64(i))) * math.Exp(3*math.Sin(float64(i)/90)))
		}
		fast, full := New(48000, 1), New(48000, 1)
		full.gain = []float64{math.Inf(1), math.Inf(1)}
		scene.InBlocks(x, 1, fast.Process)
		full.Process(x)
		require.Equal(t, full.Max(0), fast.Max(0))
		require.InEpsilon(t, plain(x), fast.Max(0), 1e-12)
	}
}

// What TakeMax gives piece by piece has the whole's maximum.
func TestTakeMaxCoversEverything(t *testing.T) {
	x := scene.Interleave(scene.Noise(-20, 1, 48000, 1), scene.Noise(-30, 1, 48000, 2))
	whole, pieces := New(48000, 2), New(48000, 2)
	whole.Process(x)
	var top [2]float64
	for ; len(x) > 0; x = x[960:] {
		pieces.Process(x[:960])
		for c := range top {
			top[c] = max(top[c], pieces.TakeMax(c))
		}
	}
	for c := range top {
		require.Equal(t, whole.Max(c), top[c])
		require.Equal(t, whole.Max(c), pieces.Max(c))
		require.Zero(t, pieces.TakeMax(c))
	}
}

func TestHostileValuesAreSilence(t *testing.T) {
	m := New(48000, 1)
	nan, inf := float32(math.NaN()), float32(math.Inf(-1))
	m.Process([]float32{nan, 0.5, inf, 0.5, nan, 1e-42})
	require.InDelta(t, 0.5, m.Max(0), 0.2)
	m.Reset()
	m.Process(make([]float32, 100))
	require.Zero(t, m.Max(0))
}

func TestNoAllocation(t *testing.T) {
	m, x := New(48000, 2), scene.Interleave(scene.Noise(-20, 0.01, 48000, 1), scene.Noise(-30, 0.01, 48000, 2))
	require.Zero(t, testing.AllocsPerRun(100, func() { m.Process(x); m.TakeMax(0) }))
}

func BenchmarkTruePeak(b *testing.B) {
	const rate = 48000
	noise := scene.Noise(-20, 2, rate, 1)
	for name, x := range map[string][]float64{"noise": noise, "sine": scene.Sine(997, -3, 0, 2, rate), "top": scene.Sine(11000, -3, 0, 2, rate)} {
		frames := scene.Interleave(x, x)
		b.Run(name+"/file", func(b *testing.B) { bench(b, frames, false) })
		b.Run(name+"/live", func(b *testing.B) { bench(b, frames, true) })
	}
}

func bench(b *testing.B, frames []float32, live bool) {
	m := New(48000, 2)
	b.ReportAllocs()
	for b.Loop() {
		for x := frames; len(x) > 0; x = x[960:] {
			m.Process(x[:960])
			if live {
				m.TakeMax(0)
				m.TakeMax(1)
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(frames)), "ns/sample")
}

// Four windows at once give, bit by bit, what one after the other does.
func TestFoursEqualEach(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for _, phase := range []int{innerPair, outerPair} {
		p := newPair(phase)
		for n := range 80 {
			x := make([]float32, n)
			for i := range x {
				x[i] = random.Float32() - 0.5
			}
			for _, top := range []float64{0, 0.4, 2} {
				require.Equal(t, p.peakOfEach(x, top), p.peak(x, top), "%d samples", n)
			}
		}
	}
}
