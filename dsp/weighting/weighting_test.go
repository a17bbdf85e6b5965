package weighting

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/reference"
	"rollready/dsp/internal/scene"
)

var rates = []int{44100, 48000, 88200, 96000, 176400, 192000}

// IEC 61672-1:2013 Table 3, class 1 acceptance limits around the formula of
// Annex E at the exact frequencies; 10 Hz to 20 kHz at every rate.
func TestClass1AtEveryRate(t *testing.T) {
	rows := reference.Rows(t, "a_weighting.csv")
	require.Len(t, rows, 34)
	for _, rate := range rates {
		for curve, column := range map[Curve]string{A: "A_computed_exact", C: "C_computed_exact"} {
			sections := Design(curve, rate)
			for _, row := range rows {
				hz := row.Float(t, "exact_hz")
				off := filter.ResponseDB(sections, hz, float64(rate)) - row.Float(t, column)
				require.LessOrEqual(t, off, row.Float(t, "class1_upper_db"), "%s at %g Hz, rate %d", column, hz, rate)
				require.GreaterOrEqual(t, off, row.Float(t, "class1_lower_db"), "%s at %g Hz, rate %d", column, hz, rate)
				if hz > 16000 {
					continue
				}
				require.InDelta(t, 0, off, 0.25, "as designed: %s at %g Hz, rate %d", column, hz, rate)
			}
		}
	}
}

// Rates below the supported ones read within 1.5 dB as far as they go.
func TestLowRatesStayUsable(t *testing.T) {
	for _, rate := range []int{8000, 11025, 16000, 22050, 32000} {
		for hz := 20.0; hz < 0.45*float64(rate); hz *= 1.1 {
			want := filter.ResponseDB(Design(A, 192000), hz, 192000)
			require.InDelta(t, want, filter.ResponseDB(Design(A, rate), hz, float64(rate)), 1.5, "%g Hz at %d", hz, rate)
		}
	}
}

// IEC 61672-1:2013 Table 4, 4 kHz tone bursts, class 1 limits. Bursts that
// are no whole cycle at a rate are still within them.
func TestToneBursts(t *testing.T) {
	found := 0
	for _, row := range reference.Rows(t, "time_weighting.csv") {
		time, known := map[string]Time{"F": Fast, "S": Slow}[row["weighting"]]
		if !known || row["burst_ms"] == "" {
			continue
		}
		upper, lower := limits(t, row["class1_limits_db"])
		for _, rate := range []int{44100, 48000, 96000} {
			for _, curve := range []Curve{A, C, Z} {
				m := New(curve, time, rate, 1)
				steady := -20 + filter.ResponseDB(Design(curve, rate), 4000, float64(rate))
				burst := scene.Sine(4000, -20, 0, row.Float(t, "burst_ms")/1000, rate)
				m.Process(scene.Interleave(append(burst, scene.Silence(0.2, rate)...)))
				off := m.MaxDBFS(0) - steady - row.Float(t, "computed_db")
				require.LessOrEqual(t, off, upper, "%v at %d Hz", row, rate)
				require.GreaterOrEqual(t, off, lower, "%v at %d Hz", row, rate)
			}
		}
		found++
	}
	require.Equal(t, 21, found)
}

func limits(t *testing.T, text string) (upper, lower float64) {
	t.Helper()
	var row reference.Row = map[string]string{}
	for i := range text {
		if text[i] == '/' {
			row["upper"], row["lower"] = text[:i], text[i+1:]
		}
	}
	return row.Float(t, "upper"), row.Float(t, "lower")
}

// IEC 61672-1:2013 5.8.2 (from memory): after a steady 4 kHz tone F falls by
// at least 25 dB/s, S by 3.4 to 5.3 dB/s; 5.8.3: F and S agree within 0.1 dB
// on a steady 1 kHz tone.
func TestDecayAndAgreement(t *testing.T) {
	for _, rate := range rates {
		fast, slow := New(A, Fast, rate, 1), New(A, Slow, rate, 1)
		tone := scene.Interleave(scene.Sine(1000, -20, 0, 8, rate))
		fast.Process(tone)
		slow.Process(tone)
		require.InDelta(t, fast.LevelDBFS(0), slow.LevelDBFS(0), 0.1)
		require.InDelta(t, -20, fast.LevelDBFS(0), 0.05)
		f, s := fast.LevelDBFS(0), slow.LevelDBFS(0)
		fast.Process(make([]float32, rate))
		slow.Process(make([]float32, rate))
		require.Greater(t, f-fast.LevelDBFS(0), 25.0)
		require.InDelta(t, 4.35, s-slow.LevelDBFS(0), 0.95)
	}
}

func TestChannelsAndBlocks(t *testing.T) {
	a, b := scene.Noise(-20, 1, 48000, 1), scene.Noise(-33, 1, 48000, 2)
	both, swapped := New(A, Fast, 48000, 2), New(A, Fast, 48000, 2)
	scene.InBlocks(scene.Interleave(a, b), 2, both.Process)
	swapped.Process(scene.Interleave(b, a))
	require.Equal(t, both.LevelDBFS(0), swapped.LevelDBFS(1))
	require.Equal(t, both.LevelDBFS(1), swapped.LevelDBFS(0))
	louder := New(A, Fast, 48000, 2)
	louder.Process(scene.Interleave(scene.Scale(a, 7), b))
	require.InDelta(t, both.LevelDBFS(0)+7, louder.LevelDBFS(0), 1e-4)
}

func TestSilenceAndHostileValues(t *testing.T) {
	m := New(A, Fast, 48000, 1)
	require.True(t, math.IsInf(m.LevelDBFS(0), -1))
	m.Process([]float32{float32(math.NaN()), 1, float32(math.Inf(1)), 1e-44})
	require.False(t, math.IsNaN(m.LevelDBFS(0)))
	m.Process(make([]float32, 20*48000))
	require.True(t, math.IsInf(m.LevelDBFS(0), -1))
	require.InDelta(t, db.RMS(0.5), 0, 1e-9)
}

func TestNoAllocation(t *testing.T) {
	m, x := New(A, Fast, 48000, 2), make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(100, func() { m.Process(x) }))
}

func BenchmarkWeighting(b *testing.B) {
	m, x := New(A, Fast, 48000, 2), scene.Interleave(scene.Noise(-20, 1, 48000, 1), scene.Noise(-20, 1, 48000, 2))
	b.ReportAllocs()
	for b.Loop() {
		m.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
