package wavfile

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

var encodings = []Encoding{PCM16, PCM24, PCM32, Float32, Float64}

func TestRoundTripOfFiles(t *testing.T) {
	for _, e := range encodings {
		for _, channels := range []int{1, 2, 3, 64} {
			for _, frames := range []int{0, 1, 7, 3000} {
				format := capture.Format{RateHz: 48000, Channels: channels}
				samples := noise(frames * channels)
				path := filepath.Join(t.TempDir(), "a.wav")
				write(t, path, format, e, samples)
				r, err := Open(path)
				require.NoError(t, err)
				require.False(t, r.Truncated())
				require.Equal(t, e, r.Encoding())
				require.Equal(t, format, r.Format())
				require.Equal(t, samples, append([]float32{}, readAll(t, r, 1023)...))
				require.NoError(t, r.Close())
			}
		}
	}
}

func TestRoundTripOfEveryLength(t *testing.T) {
	for _, e := range encodings {
		for n := range 201 {
			samples := noise(n)
			raw := append(Append(e, nil, samples), 0)
			require.Len(t, raw, n*e.Bytes()+1)
			got := make([]float32, n)
			decode(e, got, raw)
			require.Equal(t, samples, got)
		}
	}
}

// noise is in steps of 16 bits, which pass every encoding unchanged.
func noise(n int) []float32 {
	random := rand.New(rand.NewPCG(1, 2))
	samples := make([]float32, 0, n)
	for range n {
		samples = append(samples, float32(random.IntN(1<<16)-1<<15)/(1<<15))
	}
	return samples
}

func TestFloatsPassUnchangedAndIntegersHoldAtFullScale(t *testing.T) {
	odd := []float32{1.5, -1.5, float32(math.Inf(1)), float32(math.NaN()), 1e-30, 1}
	path := filepath.Join(t.TempDir(), "a.wav")
	write(t, path, capture.Format{RateHz: 48000, Channels: 1}, Float32, odd)
	r, err := Open(path)
	require.NoError(t, err)
	for i, x := range readAll(t, r, 64) {
		require.Equal(t, math.Float32bits(odd[i]), math.Float32bits(x))
	}
	require.NoError(t, r.Close())

	write(t, path+"2", capture.Format{RateHz: 48000, Channels: 1}, PCM16, odd)
	r, err = Open(path + "2")
	require.NoError(t, err)
	top := float32(32767.0 / 32768)
	require.Equal(t, []float32{top, -1, top, 0, 0, top}, readAll(t, r, 64))
	require.NoError(t, r.Close())
}

// All 32 bits of a whole number and all 64 of a float come back.
func TestRoundTripOfEveryBit(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, e := range []Encoding{PCM32, Float64} {
		samples := make([]float64, 3000)
		for i := range samples {
			samples[i] = float64(int32(random.Uint32())) / (1 << 31)
			if e == Float64 {
				samples[i] = random.NormFloat64()
			}
		}
		path := filepath.Join(t.TempDir(), "a.wav")
		w, err := Create(path, capture.Format{RateHz: 48000, Channels: 2}, e)
		require.NoError(t, err)
		require.NoError(t, w.Write64(samples))
		require.NoError(t, w.Close())
		r, err := Open(path)
		require.NoError(t, err)
		got := make([]float64, len(samples))
		n, err := r.Read64(got)
		require.NoError(t, err)
		require.Equal(t, len(samples)/2, n)
		require.Equal(t, samples, got)
		require.NoError(t, r.Close())
	}
}

// libsndfile, through sox, reads what we write as the same samples.
func TestOtherProgramsReadOurFiles(t *testing.T) {
	sox := program(t, "sox", "sox")
	for _, e := range encodings {
		for _, channels := range []int{1, 2, 5} {
			samples := make([]float32, 0, channels*len(ramp))
			for _, x := range ramp {
				for c := range channels {
					samples = append(samples, float32(math.Round(x*math.Pow(2, -float64(c))*32768)/32768))
				}
			}
			path := filepath.Join(t.TempDir(), "a.wav")
			write(t, path, capture.Format{RateHz: 48000, Channels: channels}, e, samples)
			raw, err := exec.Command(sox, "-D", path, "-t", "raw", "-e", "floating-point", "-b", "64", "-L", "-").Output()
			require.NoError(t, err)
			require.Len(t, raw, 8*len(samples))
			for i, want := range samples {
				got := math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:]))
				require.InDelta(t, want, got, 1e-9, "%v, sample %d", e, i)
			}
		}
	}
}

func TestPast4GiBBecomesRF64(t *testing.T) {
	path := filepath.Join(t.TempDir(), "long.wav")
	w, err := Create(path, capture.Format{RateHz: 96000, Channels: 2}, PCM24)
	require.NoError(t, err)
	// A hole in the file stands for what would take hours to record.
	w.data = 6 * (1 << 30)
	_, err = w.file.Seek(w.places.DataAt+w.data, 0)
	require.NoError(t, err)
	require.NoError(t, w.Write([]float32{0.5, -0.5}))
	require.NoError(t, w.Close())

	r, err := Open(path)
	require.NoError(t, err)
	defer r.Close()
	require.EqualValues(t, 1<<30+1, r.Frames())
	require.False(t, r.Truncated())
	require.NoError(t, r.SeekTo(1<<30))
	require.Equal(t, []float32{0.5, -0.5}, readAll(t, r, 4))

	probe := program(t, "ffmpeg", "ffprobe")
	out, err := exec.Command(probe, "-v", "error", "-of", "csv=p=0", "-show_entries", "stream=duration_ts", path).Output()
	require.NoError(t, err)
	require.Equal(t, strconv.Itoa(1<<30+1), strings.TrimSpace(string(out)))
}

func TestCreateNeverOverwrites(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	require.NoError(t, os.WriteFile(path, []byte("precious"), 0o644))
	_, err := Create(path, capture.Format{RateHz: 48000, Channels: 1}, PCM16)
	require.ErrorIs(t, err, os.ErrExist)
	_, err = Create(path+"2", capture.Format{RateHz: 48000, Channels: 65}, PCM16)
	require.ErrorContains(t, err, "65 channels")
	require.NoFileExists(t, path+"2")
}

func TestReplaceLeavesTheOldFileUntilClose(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.wav")
	require.NoError(t, os.WriteFile(path, []byte("precious"), 0o644))
	for _, abort := range []bool{true, false} {
		w, err := Replace(path, capture.Format{RateHz: 48000, Channels: 1}, PCM16)
		require.NoError(t, err)
		require.NoError(t, w.Write([]float32{0.5}))
		kept, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, "precious", string(kept))
		if abort {
			w.Abort()
		} else {
			require.NoError(t, w.Close())
			w.Abort()
		}
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, entries, 1, "no temporary file is left")
	}
	r, err := Open(path)
	require.NoError(t, err)
	require.Equal(t, []float32{0.5}, readAll(t, r, 1))
	require.NoError(t, r.Close())
}

func TestAFailedWriteStaysFailedAndLeavesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	w, err := Create(path, capture.Format{RateHz: 48000, Channels: 2}, PCM16)
	require.NoError(t, err)
	require.ErrorContains(t, w.Write([]float32{1}), "not whole frames")
	require.NoError(t, w.file.Close()) // as if the disk went away
	require.Error(t, w.Write([]float32{1, 1}))
	require.Error(t, w.Close())
	require.NoFileExists(t, path)
}

func write(t *testing.T, path string, f capture.Format, e Encoding, samples []float32) {
	t.Helper()
	w, err := Create(path, f, e)
	require.NoError(t, err)
	require.NoError(t, w.Write(samples))
	require.NoError(t, w.Close())
}

// program finds an outside program that the test needs, from a Debian package.
func program(t *testing.T, debian, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("CI") == "true" {
		t.Fatalf("%s is missing: install the package %s", name, debian)
	}
	t.Skipf("%s is missing: install the package %s to run this test", name, debian)
	return ""
}
