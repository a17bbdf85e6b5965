package offline_test

import (
	"context"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
)

func open(t *testing.T, path string) recording.Reader {
	t.Helper()
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = r.Close() })
	return r
}

func TestChoosesWhatIsMeant(t *testing.T) {
	take := func(names ...string) string {
		path := filepath.Join(t.TempDir(), "take.wav")
		w, err := bwf.Create(path, capture.Format{RateHz: 48000, Channels: len(names)}, wavfile.PCM24, bwf.Meta{Tracks: names}, nil)
		require.NoError(t, err)
		require.NoError(t, w.Close(bwf.Meta{Tracks: names}, nil))
		return path
	}
	for _, c := range []struct {
		path, channels string
		picks          []capture.Pick
		words          string
	}{
		{take("processed 1", "processed 2", "input 1", "input 2", "safety -10 dB 1", "safety -10 dB 2"), "", []capture.Pick{"3+4"}, "the take's raw tracks 3+4"},
		{take("processed 1", "input 1"), "", []capture.Pick{"2"}, "the take's raw track 2"},
		{take("processed 1", "processed 2", "input 1", "input 2"), "all", []capture.Pick{"1+2", "3+4"}, "all 4 tracks of the take"},
		{take("processed 1", "safety -10 dB 1"), "", []capture.Pick{"1"}, "track 1 that a chain made already, for want of raw ones"},
		{take("boom", "lav", "hall"), "", []capture.Pick{"1", "2", "3"}, "3 channels, each by itself"},
		{take("boom", "lav", "hall"), "2+3", []capture.Pick{"2+3"}, "channels 2+3"},
		{take("boom", "lav"), "", []capture.Pick{capture.Auto}, "2 channels"},
	} {
		got, err := offline.Choose(open(t, c.path), c.channels)
		require.NoError(t, err)
		require.Equal(t, offline.Choice{Picks: c.picks, Words: c.words}, got)
	}
	_, err := offline.Choose(open(t, take("a")), "each")
	require.ErrorContains(t, err, "all for every one")
}

// Every channel of many goes through the chain as it would alone.
func TestManyChannelsGoEachByItself(t *testing.T) {
	const channels, frames = 5, 20000
	x := noise(channels * frames)
	in := write(t, capture.Format{RateHz: 48000, Channels: channels}, wavfile.Float32, x)
	run, err := offline.NewProcess(open(t, in), strips.Of(limited()), "1", "2", "3", "4", "5")
	require.NoError(t, err)
	out := filepath.Join(t.TempDir(), "out.wav")
	w, err := wavfile.Create(out, run.Format(), wavfile.Float32)
	require.NoError(t, err)
	result, err := run.Run(context.Background(), w, nil)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.EqualValues(t, frames, result.Frames)
	got := readAll(t, out)
	for c := range channels {
		alone, _ := process(t, in, capture.Pick(string(rune('1'+c))), limited(), wavfile.Float32)
		for i, y := range alone {
			require.Equal(t, y, got[i*channels+c])
		}
	}
}

// Through a chain that changes nothing every bit of 32-bit integers and 64-bit
// floats passes, also where channels are picked.
func TestFlatChainPassesEveryBit(t *testing.T) {
	for _, e := range []wavfile.Encoding{wavfile.PCM32, wavfile.Float64} {
		x := make([]float64, 3*10000)
		for i, v := range noise(len(x)) {
			x[i] = float64(v) + 1.0/(1<<30)*float64(i%7)
		}
		in := filepath.Join(t.TempDir(), "in.wav")
		w, err := wavfile.Create(in, capture.Format{RateHz: 48000, Channels: 3}, e)
		require.NoError(t, err)
		require.NoError(t, w.Write64(x))
		require.NoError(t, w.Close())
		out := filepath.Join(t.TempDir(), "out.wav")
		processTo(t, in, out, "3+1", chain.Settings{}, e)
		from, to := make([]float64, len(x)), make([]float64, 2*10000)
		_, err = open(t, in).Read64(from)
		require.NoError(t, err)
		_, err = open(t, out).Read64(to)
		require.NoError(t, err)
		for i := range 10000 {
			require.Equal(t, []float64{from[3*i+2], from[3*i]}, to[2*i:2*i+2])
		}
	}
}

// harmonic gives the level of a multiple of the tone in dB under it, by the
// discrete Fourier transform over whole periods.
func harmonic(x []float32, hz, multiple, rate float64) float64 {
	level := func(hz float64) float64 {
		var re, im float64
		for n, v := range x {
			w := 2 * math.Pi * hz * float64(n) / rate
			re, im = re+float64(v)*math.Cos(w), im+float64(v)*math.Sin(w)
		}
		return math.Hypot(re, im)
	}
	return 20 * math.Log10(level(multiple*hz)/level(hz))
}

// A tone of −90 dBFS in 16 bits. Rounded, it is −1, 0 and 1 step, with the
// jump at asin(0.5/1.036) = 28.9°: by its Fourier series the third harmonic is
// cos(3·28.9°)/(3·cos 28.9°), −33 dB. With dither of triangular density
// nothing is left of it, only noise, whose power is that of three roundings:
// 3·step²/12 (Lipshitz, Wannamaker and Vanderkooy 1992).
func TestDitherLeavesNoHarmonics(t *testing.T) {
	const rate, seconds = 48000, 20
	x := make([]float32, rate*seconds)
	for n := range x {
		x[n] = float32(math.Pow(10, -90.0/20) * math.Sin(2*math.Pi*997*float64(n)/rate))
	}
	in := write(t, capture.Format{RateHz: rate, Channels: 1}, wavfile.Float32, x)
	got, _ := process(t, in, capture.Auto, chain.Settings{GainDB: 1e-9}, wavfile.PCM16)
	third := harmonic(got, 997, 3, rate)
	bare := write(t, capture.Format{RateHz: rate, Channels: 1}, wavfile.PCM16, x)
	t.Logf("third harmonic: %.1f dB rounded, %.1f dB with dither", harmonic(readAll(t, bare), 997, 3, rate), third)
	require.Less(t, third, -55.0)
	require.InDelta(t, -33, harmonic(readAll(t, bare), 997, 3, rate), 0.5)
	var noise float64
	for i, v := range got {
		noise += math.Pow(float64(v-x[i])*(1<<15), 2)
	}
	require.InDelta(t, 3.0/12, noise/float64(len(x)), 0.005)
}

// Sixteen bits that nothing changes stay as they are; what has more is dithered.
func TestDitherOnlyWhereBitsAreLost(t *testing.T) {
	x := noise(10000)
	in := write(t, capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM16, x)
	got, _ := process(t, in, capture.Auto, chain.Settings{}, wavfile.PCM16)
	require.Equal(t, readAll(t, in), got)
	in = write(t, capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM24, x)
	got, _ = process(t, in, capture.Auto, chain.Settings{}, wavfile.PCM16)
	require.NotEqual(t, readAll(t, in), got)
}

// sox reads the dithered file as the same samples.
func TestSoxReadsDitheredFile(t *testing.T) {
	sox, err := exec.LookPath("sox")
	if err != nil {
		t.Skip("install the Debian package sox for this test")
	}
	in := write(t, capture.Format{RateHz: 48000, Channels: 1}, wavfile.Float32, noise(4800))
	out := filepath.Join(t.TempDir(), "out.wav")
	processTo(t, in, out, capture.Auto, busy, wavfile.PCM16)
	said, err := exec.Command(sox, "--i", "-s", out).Output()
	require.NoError(t, err)
	require.Equal(t, "4800", strings.TrimSpace(string(said)))
}
