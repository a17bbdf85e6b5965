package offline_test

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/wavfile"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

var busy = chain.Settings{GainDB: 5, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12000, Slope: 12}}

func limited() chain.Settings {
	c := busy
	c.Limit = chain.Limit{On: true, CeilingDBTP: -6}
	return c
}

func noise(n int) []float32 {
	r := rand.New(rand.NewPCG(4, 4))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.2 * r.NormFloat64())
	}
	return x
}

func write(t testing.TB, f capture.Format, e wavfile.Encoding, frames []float32) string {
	path := filepath.Join(t.TempDir(), "in.wav")
	w, err := wavfile.Create(path, f, e)
	require.NoError(t, err)
	require.NoError(t, w.Write(frames))
	require.NoError(t, w.Close())
	return path
}

func readAll(t testing.TB, path string) []float32 {
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	defer r.Close()
	all := make([]float32, int(r.Frames())*r.Format().Channels)
	n, err := r.Read(all)
	if !errors.Is(err, io.EOF) {
		require.NoError(t, err)
	}
	return all[:n*r.Format().Channels]
}

func process(t testing.TB, path string, p capture.Pick, set chain.Settings, e wavfile.Encoding) ([]float32, offline.Result) {
	out := filepath.Join(t.TempDir(), "out.wav")
	result := processTo(t, path, out, p, set, e)
	return readAll(t, out), result
}

func processTo(t testing.TB, in, out string, p capture.Pick, set chain.Settings, e wavfile.Encoding) offline.Result {
	r, err := recording.Open(context.Background(), in)
	require.NoError(t, err)
	defer r.Close()
	run, err := offline.NewProcess(r, strips.Of(set), p)
	require.NoError(t, err)
	w, err := wavfile.Replace(out, run.Format(), e)
	require.NoError(t, err)
	result, err := run.Run(context.Background(), w, nil)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return result
}

// Every sample equals what a chain makes of the same frames in the blocks of
// a live input; the limiter's delay is taken back.
func TestProcessEqualsTheLiveChain(t *testing.T) {
	for _, set := range []chain.Settings{{}, busy, limited()} {
		for _, frames := range []int{0, 1, 100, 8192, 50001} {
			f := capture.Format{RateHz: 48000, Channels: 2}
			x := noise(2 * frames)
			c := chain.New(f.RateHz, f.Channels)
			c.Set(set)
			live := append(append([]float32(nil), x...), make([]float32, 2*c.LatencyFrames())...)
			for at := 0; at < len(live); at += 960 {
				c.Process(live[at:min(len(live), at+960)])
			}
			got, result := process(t, write(t, f, wavfile.Float32, x), capture.Auto, set, wavfile.Float32)
			require.Len(t, got, 2*frames)
			require.True(t, slices.Equal(live[2*c.LatencyFrames():], got), "%+v, %d frames", set, frames)
			require.EqualValues(t, frames, result.Frames)
		}
	}
}

func TestProcessKeepsEncodings(t *testing.T) {
	x := noise(2 * 20000)
	for _, e := range []wavfile.Encoding{wavfile.PCM16, wavfile.PCM24, wavfile.PCM32, wavfile.Float32, wavfile.Float64} {
		in := write(t, capture.Format{RateHz: 44100, Channels: 2}, e, x)
		got, _ := process(t, in, capture.Auto, chain.Settings{}, e)
		require.Equal(t, readAll(t, in), got, e)
	}
}

func TestProcessPicksChannels(t *testing.T) {
	x := noise(3 * 1000)
	in := write(t, capture.Format{RateHz: 48000, Channels: 3}, wavfile.Float32, x)
	got, _ := process(t, in, "3", chain.Settings{}, wavfile.Float32)
	for i, v := range got {
		require.Equal(t, x[3*i+2], v)
	}
}

func TestProcessCountsWhatItMends(t *testing.T) {
	x := make([]float32, 1000)
	x[3], x[4], x[500] = float32(math.NaN()), float32(math.Inf(1)), 1.5
	in := write(t, capture.Format{RateHz: 48000, Channels: 1}, wavfile.Float32, x)
	got, result := process(t, in, capture.Auto, chain.Settings{}, wavfile.Float32)
	require.EqualValues(t, 2, result.Sanitised)
	require.EqualValues(t, 1, result.Overs)
	require.Zero(t, got[3])
}

func TestProcessEndsWithItsContextAndWithTheDisk(t *testing.T) {
	in := write(t, capture.Format{RateHz: 48000, Channels: 1}, wavfile.Float32, noise(200000))
	r, err := recording.Open(context.Background(), in)
	require.NoError(t, err)
	defer r.Close()
	run, err := offline.NewProcess(r, strips.Of(busy))
	require.NoError(t, err)
	w, err := wavfile.Create(filepath.Join(t.TempDir(), "o.wav"), run.Format(), wavfile.PCM24)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	_, err = run.Run(ctx, w, func(int64) { cancel() })
	require.ErrorIs(t, err, context.Canceled)
	w.Abort()

	require.NoError(t, r.SeekTo(0))
	_, err = run.Run(context.Background(), w, nil) // given up: every write fails
	require.Error(t, err)
	require.NotErrorIs(t, err, context.Canceled)
}

// 60 s stereo, gain, 24 dB per octave high-pass, 12 dB per octave low-pass.
func BenchmarkProcess(b *testing.B) {
	const seconds = 60
	in := write(b, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24, noise(2*48000*seconds))
	out := filepath.Join(b.TempDir(), "out.wav")
	for b.Loop() {
		processTo(b, in, out, capture.Auto, busy, wavfile.PCM24)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(2*48000*seconds), "ns/sample")
}
