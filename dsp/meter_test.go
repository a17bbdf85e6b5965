package dsp_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/camera"
	"rollready/dsp/internal/signal"
)

const rate = 48000

func metered(v dsp.View, input, output []float32) dsp.Reading {
	m := dsp.NewMeter(rate, 2, v)
	m.Process(input, output, nil)
	return m.Reading()
}

func both(x []float32) []float32 { return signal.Interleave(x, x) }

// Sources: AES17 (peak and rms of a sine read alike), EBU Tech 3341 case 1
// (a stereo 1 kHz tone of −23 dBFS reads −23 LUFS), IEC 61260-1 (the band).
func TestToneReadsItsLevelEverywhere(t *testing.T) {
	tone := both(signal.Sine(1000, math.Pow(10, -23.0/20), rate, 4*rate))
	r := metered(dsp.DefaultView(), tone, tone)
	require.Equal(t, int64(4*rate), r.Frames)
	require.Equal(t, bands.Count, dsp.BandCount)
	for c := range 2 {
		for _, l := range []dsp.Level{r.Input[c], r.Output[c]} {
			require.InDelta(t, -23, l.PeakDBFS, 0.01)
			require.InDelta(t, -23, l.HoldDBFS, 0.01)
			require.InDelta(t, -23, l.RMSDBFS, 0.01)
			require.InDelta(t, -23, l.TruePeakDBTP, 0.1)
			require.InDelta(t, -23, l.MaxDBTP, 0.1)
			require.Zero(t, l.ClippedRuns+l.FlatTops)
		}
	}
	require.InDelta(t, -23, r.Loudness.MomentaryLUFS, 0.1)
	require.InDelta(t, -23, r.Loudness.ShortTermLUFS, 0.1)
	require.InDelta(t, -23, r.Loudness.IntegratedLUFS, 0.1)
	require.InDelta(t, -23, r.Bands[18].LevelDBFS, 0.1)
	require.InDelta(t, -23, r.Bands[18].HoldDBFS, 0.1)
	require.Equal(t, 32, r.BandsUsable)
}

func TestInputAndOutputAreApart(t *testing.T) {
	v := dsp.DefaultView()
	v.BandTap = dsp.TapInput
	in, out := both(signal.Sine(1000, 0.1, rate, rate)), both(signal.Sine(1000, 0.01, rate, rate))
	r := metered(v, in, out)
	require.InDelta(t, -20, r.Input[0].PeakDBFS, 0.01)
	require.InDelta(t, -40, r.Output[0].PeakDBFS, 0.01)
	require.InDelta(t, -20, r.Bands[18].LevelDBFS, 0.1)
	v.BandTap = dsp.TapOutput
	require.InDelta(t, -40, metered(v, in, out).Bands[18].LevelDBFS, 0.1)
}

func TestCameraReadsTheOutputOnItsScale(t *testing.T) {
	v := dsp.DefaultView()
	v.Camera = camera.Scale{OffsetDB: 6, ClipDBFS: -2, TargetLowDBFS: -12, TargetHighDBFS: -6}
	for dBFS, want := range map[float64]camera.Zone{-30: camera.Unjudged, -11: camera.Unjudged, -8.5: camera.Over} {
		x := both(signal.Sine(1000, math.Pow(10, dBFS/20), rate, rate))
		r := metered(v, make([]float32, len(x)), x)
		require.InDelta(t, dBFS+6, r.Camera[1].PeakDBFS, 0.01)
		require.InDelta(t, dBFS+6, r.Camera[1].HoldDBFS, 0.01)
		require.InDelta(t, -2-(dBFS+6), r.Camera[1].HeadroomDB, 0.1)
		require.Equal(t, want, r.Camera[1].Zone, "%g dBFS", dBFS)
	}
}

func TestHoldTimes(t *testing.T) {
	for seconds, want := range map[float64]float64{0: -43.5, 1: -43.5, 5: -20, math.Inf(1): -20} {
		v := dsp.DefaultView()
		v.HoldSeconds = seconds
		m := dsp.NewMeter(rate, 2, v)
		tone, rest := both(signal.Sine(1000, 0.1, rate, rate)), make([]float32, 4*rate)
		m.Process(tone, tone, nil)
		m.Process(rest, rest, nil)
		r := m.Reading()
		require.InDelta(t, want, r.Output[0].HoldDBFS, 0.2, "%g s: the bar falls 23.5 dB in 2 s", seconds)
		if seconds > 2 {
			require.InDelta(t, -20, r.Bands[18].HoldDBFS, 0.1)
		} else {
			require.Less(t, r.Bands[18].HoldDBFS, -45.0) // it falls 34.7 dB a second
		}
		m.ResetHolds()
		require.Less(t, m.Reading().Output[0].HoldDBFS, -43.0)
		require.True(t, math.IsInf(m.Reading().Output[0].MaxDBTP, -1))
		require.True(t, math.IsInf(m.Reading().Loudness.IntegratedLUFS, -1))
	}
}

func TestEveryBallisticsReadsASteadyToneAlike(t *testing.T) {
	tone := both(signal.Sine(1000, 0.1, rate, 2*rate))
	for _, b := range []dsp.Ballistics{dsp.DigitalPeak, dsp.PPMTypeI, dsp.PPMTypeII, dsp.VU} {
		v := dsp.DefaultView()
		v.Ballistics = b
		require.InDelta(t, -20, metered(v, tone, tone).Output[0].PeakDBFS, 0.3, "%s", b)
	}
}

func TestViewsChangeWhileRunning(t *testing.T) {
	tone := both(signal.Sine(1000, 0.1, rate, rate))
	v := dsp.DefaultView()
	m := dsp.NewMeter(rate, 2, v)
	m.Process(tone, tone, nil)
	m.SetView(v)
	require.InDelta(t, -20, m.Reading().Bands[18].HoldDBFS, 0.1, "the same view disturbs nothing")
	v.BandTap, v.BandTime, v.HoldSeconds, v.Ballistics, v.BandChannel = dsp.TapInput, dsp.Slow, 0, dsp.VU, 1
	m.SetView(v)
	require.True(t, math.IsInf(m.Reading().Bands[18].LevelDBFS, -1), "another stream starts anew")
	m.Process(make([]float32, 2*rate), tone, nil)
	r := m.Reading()
	require.True(t, math.IsInf(r.Bands[18].LevelDBFS, -1))
	require.InDelta(t, -20, r.Output[0].PeakDBFS, 0.2)
}

func TestBlockCutsDoNotMatter(t *testing.T) {
	for _, channels := range []int{1, 2} {
		in := signal.Speech(1.1, rate, 6*rate+1234, 1)
		out := signal.Noise(0.5, len(in), 2)
		whole, cut := dsp.NewMeter(44100, channels, dsp.DefaultView()), dsp.NewMeter(44100, channels, dsp.DefaultView())
		whole.Process(in, out, nil)
		rest := out
		signal.Cut(in, channels, func(block []float32) {
			cut.Process(block, rest[:len(block)], nil)
			rest = rest[len(block):]
		})
		require.Equal(t, whole.Reading(), cut.Reading())
	}
}

func TestNothingIsAllocated(t *testing.T) {
	m := dsp.NewMeter(rate, 2, dsp.DefaultView())
	block := signal.Noise(0.5, 2*491, 1)
	require.Zero(t, testing.AllocsPerRun(200, func() {
		m.Process(block, block, nil)
		m.Reading()
	}))
}

func requireReadable(t *testing.T, r dsp.Reading) {
	t.Helper()
	values := []float64{r.Loudness.MomentaryLUFS, r.Loudness.ShortTermLUFS, r.Loudness.IntegratedLUFS}
	for c := range r.Channels {
		for _, l := range []dsp.Level{r.Input[c], r.Output[c]} {
			values = append(values, l.PeakDBFS, l.HoldDBFS, l.TruePeakDBTP, l.MaxDBTP, l.RMSDBFS)
		}
		values = append(values, r.Camera[c].PeakDBFS, r.Camera[c].HoldDBFS, -r.Camera[c].HeadroomDB)
	}
	for _, b := range r.Bands {
		values = append(values, b.LevelDBFS, b.HoldDBFS)
	}
	for i, v := range values {
		require.False(t, math.IsNaN(v) || math.IsInf(v, 1), "value %d is %v", i, v)
	}
}

func FuzzAnyInputReads(f *testing.F) {
	f.Add(uint32(0x7fc00000), uint32(0x7f800000), uint32(0x7f7fffff), uint8(3), uint8(0))
	f.Add(uint32(0xff7fffff), uint32(0x00000001), uint32(0x3f800000), uint8(1), uint8(3))
	f.Fuzz(func(t *testing.T, a, b, c uint32, step, movement uint8) {
		values := []float32{math.Float32frombits(a), math.Float32frombits(b), math.Float32frombits(c)}
		x := make([]float32, 9600)
		for i := range x {
			x[i] = values[(i*int(step)+i/7)%3]
		}
		v := dsp.DefaultView()
		v.Ballistics = []dsp.Ballistics{dsp.DigitalPeak, dsp.PPMTypeI, dsp.PPMTypeII, dsp.VU}[movement%4]
		requireReadable(t, metered(v, x, x))
	})
}

// The whole meter on 10 ms of stereo: input, output, bands, loudness.
func BenchmarkMeter(b *testing.B) {
	m := dsp.NewMeter(rate, 2, dsp.DefaultView())
	x := both(signal.Speech(0.5, rate, rate, 1))
	b.ReportAllocs()
	at := 0
	for b.Loop() {
		m.Process(x[at:at+960], x[at:at+960], nil)
		at = (at + 960) % len(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/960, "ns/sample")
	b.ReportMetric(100*b.Elapsed().Seconds()/float64(b.N)/0.01, "%core")
}

func BenchmarkReading(b *testing.B) {
	m := dsp.NewMeter(rate, 2, dsp.DefaultView())
	x := both(signal.Noise(0.5, rate, 1))
	m.Process(x, x, nil)
	b.ReportAllocs()
	for b.Loop() {
		m.Reading()
	}
}

// A line-up moves the scale under the peaks that were: what is said of them then
// is one thing.
func TestOverloadsFollowTheScale(t *testing.T) {
	v := dsp.DefaultView()
	x := both(signal.Sine(1000, math.Pow(10, -8.0/20), rate, rate))
	m := dsp.NewMeter(rate, 2, v)
	m.Process(x, x, nil)
	for _, c := range []struct{ offset, clip float64 }{{0, 0}, {0, -8}, {0, 0}, {7.5, 0}, {-10, 0}, {0, -7.5}, {0, -6}} {
		v.Camera.OffsetDB, v.Camera.ClipDBFS = c.offset, c.clip
		m.SetView(v)
		r := m.Reading()
		for ch := range 2 {
			over := r.Camera[ch].LeastHeadroomDB <= camera.OverDB
			require.Equal(t, over, r.Camera[ch].Overs > 0, "%+v: %d times, %.1f dB left", c, r.Camera[ch].Overs, r.Camera[ch].LeastHeadroomDB)
			require.Equal(t, over, r.Overs[ch] > 0, "%+v", c)
		}
	}
}
