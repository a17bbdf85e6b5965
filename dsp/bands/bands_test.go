package bands_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/bands"
	"rollready/dsp/db"
	"rollready/dsp/internal/reference"
	"rollready/dsp/internal/signal"
)

const rate = 48000

// steadyDBFS is the mean level of a band once a tone has come in.
func steadyDBFS(m *bands.Meter, band int, tone []float32) float64 {
	m.Reset()
	half := len(tone) / 2
	m.Process(tone[:half])
	m.ResetMaxima()
	m.Process(tone[half:])
	return m.MeanDBFS(band)
}

// Source: IEC 61260-1:2014 Table 1, class 1. Steady tones at every breakpoint
// of every band go through the meter itself. 70 dB is the deepest limit.
func TestTonesMeetClassOne(t *testing.T) {
	rows := reference.Rows(t, "octave_band_limits.csv")
	for _, rateHz := range []int{48000, 96000} {
		m := bands.New(rateHz, 1)
		for i := range m.Usable() {
			info := bands.At(i)
			frames := int(16 / (info.HighHz - info.LowHz) * float64(rateHz))
			mid := steadyDBFS(m, i, signal.Sine(info.MidHz, 0.1, rateHz, frames))
			require.InDelta(t, -20, mid, 0.1, "midband of %g Hz", info.NominalHz)
			for _, row := range rows {
				for _, side := range []string{"omega_high_third", "omega_low_third"} {
					hz := info.MidHz * row.Float(t, side)
					if hz >= 0.499*float64(rateHz) {
						continue
					}
					attenuation := mid - steadyDBFS(m, i, signal.Sine(hz, 0.1, rateHz, frames))
					what := fmt.Sprintf("%g Hz through the %g Hz band at %d Hz", hz, info.NominalHz, rateHz)
					require.GreaterOrEqual(t, attenuation, row.Float(t, "class1_min_db"), what)
					require.LessOrEqual(t, attenuation, row.Float(t, "class1_max_db"), what)
				}
			}
		}
	}
}

// The fast weighting follows a 16 Hz tone's power by ±0.17 dB: a first-order
// average of sin² with its time constant does so by definition.
func TestMidbandToneReadsItsLevel(t *testing.T) {
	for _, rateHz := range []int{44100, 192000} {
		m := bands.New(rateHz, 1)
		for i := range m.Usable() {
			frames := rateHz + int(12/(bands.At(i).HighHz-bands.At(i).LowHz)*float64(rateHz))
			m.Reset()
			m.SetWeighting(bands.Fast)
			tone := signal.Sine(bands.At(i).MidHz, 0.1, rateHz, frames+rateHz/2)
			m.Process(tone[:frames])
			ripple := 10 * math.Log10(1+1/math.Hypot(1, 4*math.Pi*bands.At(i).MidHz*bands.Fast))
			require.InDelta(t, -20, m.LevelDBFS(i), max(0.1, 0.03+ripple), "%g Hz at %d", bands.At(i).NominalHz, rateHz)
			m.ResetMaxima()
			m.Process(tone[frames:])
			require.InDelta(t, -20, m.MeanDBFS(i), 0.1, "%g Hz at %d", bands.At(i).NominalHz, rateHz)
		}
	}
}

// Source: IEC 61672-1:2013 Table 4, 4 kHz tone bursts, F and S. Bursts shorter
// than the band's own response are left out: the filter smears them.
func TestTimeWeighting(t *testing.T) {
	const band = 24
	require.Equal(t, 4000.0, bands.At(band).NominalHz)
	found := 0
	for _, row := range reference.Rows(t, "time_weighting.csv") {
		seconds, ok := map[string]float64{"F": bands.Fast, "S": bands.Slow}[row["weighting"]]
		if !ok || row["quantity"] == "time constant" || row["burst_ms"] == "" || row.Float(t, "burst_ms") < 20 {
			continue
		}
		found++
		m := bands.New(rate, 1)
		m.SetWeighting(seconds)
		burst := signal.Sine(bands.At(band).MidHz, 0.5, rate, int(row.Float(t, "burst_ms")*rate/1000))
		m.Process(burst)
		m.Process(make([]float32, rate/10))
		up, down := limits(t, row["class1_limits_db"])
		got := m.MaxDBFS(band) - db.FromAmplitude(0.5)
		require.InDelta(t, row.Float(t, "reference_db")+(up+down)/2, got, (up-down)/2, "%s %s ms", row["weighting"], row["burst_ms"])
	}
	require.Equal(t, 12, found)
}

// limits reads "+0.5/-1.0".
func limits(t *testing.T, text string) (up, down float64) {
	a, b, ok := strings.Cut(text, "/")
	require.True(t, ok, text)
	up, errUp := strconv.ParseFloat(a, 64)
	down, errDown := strconv.ParseFloat(b, 64)
	require.NoError(t, errUp)
	require.NoError(t, errDown)
	return up, down
}

func TestChannels(t *testing.T) {
	tone := signal.Sine(bands.At(18).MidHz, 0.1, rate, rate)
	x := signal.Interleave(tone, make([]float32, rate))
	for channel, want := range map[int]float64{0: -20, 1: math.Inf(-1), bands.Sum: -26.02} {
		m := bands.New(rate, 2)
		m.SetChannel(channel)
		m.Process(x)
		if math.IsInf(want, -1) {
			require.Equal(t, want, m.LevelDBFS(18))
			continue
		}
		require.InDelta(t, want, m.LevelDBFS(18), 0.1)
	}
}

func TestTakeMaxStartsAgain(t *testing.T) {
	m := bands.New(rate, 1)
	m.Process(signal.Sine(1000, 0.1, rate, rate))
	require.InDelta(t, -20, m.TakeMaxDBFS(18), 0.1)
	m.Process(make([]float32, rate))
	require.InDelta(t, -20, m.TakeMaxDBFS(18), 0.1, "the level it fell from")
	require.Less(t, m.TakeMaxDBFS(18), -50.0)
	require.InDelta(t, -20, m.MaxDBFS(18), 0.1)
}

func TestSilenceReadsMinusInfinity(t *testing.T) {
	m := bands.New(44100, 1)
	m.Process(signal.Noise(0.5, 44100, 1))
	require.True(t, math.IsInf(m.LevelDBFS(31), -1), "no 20 kHz band at 44.1 kHz")
	m.Process(make([]float32, 30*44100))
	for i := range bands.Count {
		require.True(t, math.IsInf(m.LevelDBFS(i), -1), "%g Hz", bands.At(i).NominalHz)
	}
}

func TestBlockCutsDoNotMatter(t *testing.T) {
	x := signal.Interleave(signal.Noise(0.5, 2*rate, 1), signal.Speech(0.5, rate, 2*rate, 2))
	whole, cut := bands.New(rate, 2), bands.New(rate, 2)
	whole.Process(x)
	signal.Cut(x, 2, cut.Process)
	for i := range bands.Count {
		require.Equal(t, whole.LevelDBFS(i), cut.LevelDBFS(i))
		require.Equal(t, whole.MaxDBFS(i), cut.MaxDBFS(i))
		require.Equal(t, whole.MeanDBFS(i), cut.MeanDBFS(i))
	}
}

func TestNothingSticks(t *testing.T) {
	m := bands.New(rate, 1)
	bad := signal.Constant(math.MaxFloat32, 1000)
	bad[3], bad[5], bad[500] = float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))
	m.Process(bad)
	m.Process(make([]float32, 60*rate))
	m.Process(signal.Sine(1000, 0.1, rate, 2*rate))
	require.InDelta(t, -20, m.LevelDBFS(18), 0.1)
}

func TestNothingIsAllocated(t *testing.T) {
	m := bands.New(rate, 2)
	block := signal.Noise(0.5, 2*481, 1)
	require.Zero(t, testing.AllocsPerRun(100, func() {
		m.Process(block)
		m.TakeMaxDBFS(3)
		m.MeanDBFS(20)
	}))
}

func FuzzAnyInputReads(f *testing.F) {
	f.Add(uint32(0x7fc00000), uint32(0x7f800000), uint32(0x7f7fffff), uint8(3))
	f.Fuzz(func(t *testing.T, a, b, c uint32, step uint8) {
		values := []float32{math.Float32frombits(a), math.Float32frombits(b), math.Float32frombits(c)}
		x := make([]float32, 2001)
		for i := range x {
			x[i] = values[(i*int(step)+i/7)%3]
		}
		m := bands.New(rate, 2)
		m.Process(x)
		for i := range bands.Count {
			for _, v := range []float64{m.LevelDBFS(i), m.MaxDBFS(i), m.MeanDBFS(i), m.TakeMaxDBFS(i)} {
				require.False(t, math.IsNaN(v) || math.IsInf(v, 1))
			}
		}
	})
}

func BenchmarkBands(b *testing.B) {
	for _, rateHz := range []int{48000, 96000} {
		b.Run(strconv.Itoa(rateHz), func(b *testing.B) {
			m := bands.New(rateHz, 1)
			x := signal.Noise(0.5, rateHz/100, 1)
			b.ReportAllocs()
			for b.Loop() {
				m.Process(x)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(x)), "ns/sample")
			b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N)/0.01, "%core")
		})
	}
}
