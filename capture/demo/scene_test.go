package demo

import (
	"math"
	"math/cmplx"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

const rate = 48000

// render gives so many seconds of each channel.
func render(rateHz int, seconds float64) (collar, camera []float64) {
	block := make([]float32, Channels*int(seconds*float64(rateHz)))
	NewScene(rateHz).Read(block)
	for i := 0; i < len(block); i += Channels {
		collar = append(collar, float64(block[i]))
		camera = append(camera, float64(block[i+1]))
	}
	return collar, camera
}

// peaks gives the peak level of each tenth of a second in dBFS.
func peaks(x []float64) (levels []float64) {
	for ; len(x) >= rate/10; x = x[rate/10:] {
		peak := 0.0
		for _, s := range x[:rate/10] {
			peak = max(peak, math.Abs(s))
		}
		levels = append(levels, 20*math.Log10(peak))
	}
	return levels
}

func TestSameFramesHoweverCut(t *testing.T) {
	whole := make([]float32, Channels*rate)
	NewScene(rate).Read(whole)
	s, cut := NewScene(rate), make([]float32, 0, len(whole))
	for n := 1; len(cut) < len(whole); n = n*7%1009 + 1 {
		block := make([]float32, Channels*min(n, (len(whole)-len(cut))/Channels))
		s.Read(block)
		cut = append(cut, block...)
	}
	require.Equal(t, whole, cut)
}

func TestSpeechAndPauses(t *testing.T) {
	collar, camera := render(rate, 20)
	speaking, silent := 0, 0
	for _, level := range peaks(collar) {
		if level > -24 {
			speaking++
			require.Less(t, level, -4.0, "no overload in the first 20 seconds")
		}
		if level < -30 {
			silent++
		}
	}
	require.Greater(t, speaking, 90, "tenths of a second with speech, of 200")
	require.Greater(t, silent, 50, "tenths of a second with a pause, of 200")
	require.NotEqual(t, collar, camera)
}

// The voice's period must be that of a man's speaking voice, 85–180 Hz
// (common knowledge of phonetics, from memory).
func TestVoiceHasAPitch(t *testing.T) {
	collar, _ := render(rate, 1.5)
	x := collar[rate/2 : rate/2+rate/5]
	best, bestLag := 0.0, 0
	for lag := rate / 400; lag < rate/60; lag++ {
		sum := 0.0
		for i := lag; i < len(x); i++ {
			sum += x[i] * x[i-lag]
		}
		if sum > best {
			best, bestLag = sum, lag
		}
	}
	require.InDelta(t, 125, rate/float64(bestLag), 30)
}

func TestNowAndThenAnOverload(t *testing.T) {
	collar, _ := render(rate, 60)
	runs, run := 0, 0
	for _, x := range collar {
		if math.Abs(x) < 1 {
			run = 0
			continue
		}
		if run++; run == 3 {
			runs++
		}
	}
	require.Greater(t, runs, 50)
}

func TestHumAndRumble(t *testing.T) {
	collar, _ := render(rate, 20)
	level := func(hz float64) float64 {
		var sum complex128
		for n, x := range collar {
			window := 0.5 - 0.5*math.Cos(2*math.Pi*float64(n)/float64(len(collar)))
			sum += complex(2*window*x, 0) * cmplx.Exp(complex(0, -2*math.Pi*hz*float64(n)/rate))
		}
		return 20 * math.Log10(2*cmplx.Abs(sum)/float64(len(collar)))
	}
	require.InDelta(t, 20*math.Log10(humLevel), level(humHz), 3)
	require.Greater(t, level(humHz), level(47)+10)
	require.Greater(t, level(humHz), level(53)+10)
}

func TestFiniteAtEveryRate(t *testing.T) {
	for _, hz := range []int{8000, 44100, 48000, 96000, 192000} {
		collar, camera := render(hz, 3)
		sum := 0.0
		for i := range collar {
			require.LessOrEqual(t, math.Abs(collar[i]), 1.0)
			require.LessOrEqual(t, math.Abs(camera[i]), 1.0)
			sum += collar[i] * collar[i]
		}
		require.InDelta(t, -27.6, 10*math.Log10(sum/float64(len(collar))), 1, "rms at %d Hz", hz)
	}
}

func TestSourceIsLabelled(t *testing.T) {
	s := New(rate)
	require.Equal(t, capture.Demo, s.Kind())
	require.Contains(t, s.Name(), "demo")
	require.Equal(t, capture.Format{RateHz: rate, Channels: 2}, s.Format())
	blocks := make(chan []float32, 100)
	require.NoError(t, s.Start(func(b []float32) {
		select {
		case blocks <- append([]float32{}, b...):
		default:
		}
	}))
	select {
	case b := <-blocks:
		want := make([]float32, len(b))
		NewScene(rate).Read(want)
		require.Equal(t, want, b)
	case <-time.After(10 * time.Second):
		t.Fatal("no block came")
	}
	require.NoError(t, s.Close())
}

func TestReadDoesNotAllocate(t *testing.T) {
	s, block := NewScene(8000), make([]float32, Channels*8000)
	for range 60 { // the longest phrase has been said
		s.Read(block)
	}
	require.Zero(t, testing.AllocsPerRun(20, func() { s.Read(block) }))
}

func BenchmarkScene(b *testing.B) {
	s, block := NewScene(rate), make([]float32, Channels*rate/100)
	b.ReportAllocs()
	for b.Loop() {
		s.Read(block)
	}
}
