package survey

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
	"rollready/dsp/filter"
	"rollready/dsp/resample"
)

// voices of the graded scenes: men, women, a child, deep, breathy and creaky.
var voices = []speaker{
	{"male", "en-gb", 40, 160}, {"female", "en-gb+f2", 50, 160}, {"deep", "en-us+m7", 15, 140},
	{"child", "en-us+f5", 95, 165}, {"male lively", "en-us+m3", 60, 190}, {"female lively", "en-us+f4", 65, 185},
	{"creaky", "en-us+croak", 30, 150}, {"breathy", "en-gb+steph", 45, 150}, {"old man", "en-gb+grandpa", 35, 140},
	{"old woman", "en-gb+grandma", 55, 150}, {"announcer", "en-us+announcer", 45, 170}, {"soft", "en-gb+linda", 50, 155},
}

var whisperers = []speaker{
	{"whisper", "en-gb+whisper", 50, 150}, {"whisper f", "en-us+whisperf", 50, 150},
	{"whisper quick", "en-us+whisper", 60, 185}, {"whisper slow", "en-gb+whisperf", 40, 125},
}

// onStage is three seconds of room and then a voice, its highest sample at
// −8 dBFS, at a rate.
func onStage(t testing.TB, s speaker, rateHz int) []float64 {
	t.Helper()
	voice := speak(t, s, withPauses)
	if rateHz != rate {
		voice = rerated(voice, rate, rateHz)
	}
	voice = scale(voice, 4)
	return append(make([]float64, 3*rateHz), append(voice, make([]float64, rateHz/2)...)...)
}

// rerated brings a sound to another rate.
func rerated(x []float64, from, to int) []float64 {
	in := make([]float32, len(x)+1000)
	for i, v := range x {
		in[i] = float32(v)
	}
	out := make([]float32, len(x)*to/from)
	made, _ := resample.New(from, to, 1).Process(out, in)
	y := make([]float64, made)
	for i := range y {
		y[i] = float64(out[i])
	}
	return y
}

// roomy adds a room's own noise, falling by 6 dB per octave above 300 Hz with
// some hiss.
func roomy(x []float64, dBFS float64, seed uint64) []float64 {
	return add(x, add(dark(dBFS, 300, len(x), seed), white(dBFS-12, len(x), seed+77)))
}

// pink is noise of about the same power in each octave from 12 Hz to 12 kHz.
func pink(dBFS float64, frames int, seed uint64) []float64 {
	x := make([]float64, frames)
	for k, hz := range []float64{12, 38, 120, 380, 1200, 3800, 12000} {
		x = add(x, dark(0, hz, frames, seed+uint64(k)))
	}
	return scale(x, dBFS-rms(x))
}

// filtered runs a Butterworth filter over a sound.
func filtered(x []float64, sections []filter.Biquad) []float64 {
	y, states := make([]float64, len(x)), make([]filter.State, len(sections))
	for i, v := range x {
		for k := range sections {
			v = states[k].Step(&sections[k], v)
		}
		y[i] = v
	}
	return y
}

func highPassed(x []float64, hz float64, slope int) []float64 {
	return filtered(x, filter.HighPass(filter.Cut{Hz: hz, Slope: slope}, rate))
}

// write keeps channels as a WAV file.
func write(t testing.TB, rateHz int, sample wavfile.Encoding, channels ...[]float64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "scene.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: rateHz, Channels: len(channels)}, sample)
	require.NoError(t, err)
	block := make([]float32, len(channels)*len(channels[0]))
	for c, x := range channels {
		for i, v := range x {
			block[i*len(channels)+c] = float32(max(-1, min(1, v)))
		}
	}
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	return path
}

// coded sends a file through ffmpeg's encoders and back, and gives its sound.
func coded(t testing.TB, path, ending string, args ...string) string {
	t.Helper()
	packed := filepath.Join(filepath.Dir(path), "packed."+ending)
	out, err := exec.Command("ffmpeg", append(append([]string{"-v", "error", "-y", "-i", path}, args...), packed)...).CombinedOutput()
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "install the Debian package ffmpeg: %s", out)
		t.Skip("install the Debian package ffmpeg for this test")
	}
	plain := filepath.Join(filepath.Dir(path), "unpacked.wav")
	out, err = exec.Command("ffmpeg", "-v", "error", "-y", "-i", packed, "-c:a", "pcm_s16le", plain).CombinedOutput()
	require.NoError(t, err, string(out))
	return plain
}
