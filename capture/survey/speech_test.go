package survey

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
	"rollready/dsp/resample"
)

const rate = 48000

// speaker is a voice of espeak-ng and how it speaks.
type speaker struct {
	name, voice  string
	pitch, speed int
}

var speakers = []speaker{
	{"male", "en-gb", 40, 160},
	{"male lively", "en-us+m3", 60, 190},
	{"female", "en-gb+f2", 50, 160},
	{"female lively", "en-us+f4", 65, 185},
}

const (
	withPauses = "The boat left the harbour before the fog came in. We had packed bread, pears and a small tin of tea. " +
		"Nobody knew how long the crossing would take, but the pilot seemed sure of himself! Put the box on the table, please."
	withoutPauses = "the boat left the harbour before the fog came in and we had packed bread and pears and a small tin of tea " +
		"and nobody knew how long the crossing would take but the pilot seemed sure of himself so we put the box on the table"
)

var spoken sync.Map // by speaker and text

// speak gives a text at 48 kHz, its highest sample at −12 dBFS.
func speak(t testing.TB, s speaker, text string) []float64 {
	t.Helper()
	if x, ok := spoken.Load(s.name + text); ok {
		return x.([]float64)
	}
	wav, err := exec.Command("espeak-ng", "-v", s.voice, "-a", "60", "-p", strconv.Itoa(s.pitch), "-s", strconv.Itoa(s.speed), "--stdout", text).Output()
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "install the Debian package espeak-ng")
		t.Skip("install the Debian package espeak-ng for this test")
	}
	require.EqualValues(t, 22050, binary.LittleEndian.Uint32(wav[24:]))
	var x []float32
	for data := wav[bytes.Index(wav, []byte("data"))+8:]; len(data) > 1; data = data[2:] {
		x = append(x, float32(int16(binary.LittleEndian.Uint16(data)))/32768)
	}
	y := make([]float32, len(x)*rate/22050)
	made, _ := resample.New(22050, rate, 1).Process(y, append(x, make([]float32, 1000)...))
	voice := make([]float64, made)
	for i := range voice {
		voice[i] = float64(y[i])
	}
	voice = scale(voice, -12-20*math.Log10(peakOf(voice)))
	spoken.Store(s.name+text, voice)
	return voice
}

func peakOf(x []float64) (top float64) {
	for _, v := range x {
		top = max(top, math.Abs(v))
	}
	return top
}

func scale(x []float64, gainDB float64) []float64 {
	y, g := make([]float64, len(x)), math.Pow(10, gainDB/20)
	for i, v := range x {
		y[i] = g * v
	}
	return y
}

func add(a, b []float64) []float64 {
	y := make([]float64, len(a))
	for i := range y {
		y[i] = a[i] + b[i]
	}
	return y
}

// rms is the level of the samples in dBFS after AES17.
func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return 10*math.Log10(sum/float64(len(x))) + 3.01
}

// white is Gaussian noise of an rms level in dBFS.
func white(dBFS float64, frames int, seed uint64) []float64 {
	r := rand.New(rand.NewPCG(seed, 9))
	x := make([]float64, frames)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return scale(x, dBFS-rms(x))
}

// dark is noise that falls by 6 dB per octave above a frequency, of an rms
// level in dBFS; deep falls by 12 dB.
func dark(dBFS, hz float64, frames int, seed uint64) []float64 {
	x := darken(white(0, frames, seed), hz)
	return scale(x, dBFS-rms(x))
}

func deep(dBFS, hz float64, frames int, seed uint64) []float64 {
	x := darken(dark(0, hz, frames, seed), hz)
	return scale(x, dBFS-rms(x))
}

func darken(x []float64, hz float64) []float64 {
	y, state, g := make([]float64, len(x)), 0.0, math.Exp(-2*math.Pi*hz/rate)
	for i, v := range x {
		state = g*state + (1-g)*v
		y[i] = state
	}
	return y
}

func tone(hz, dBFS float64, frames int) []float64 {
	x := make([]float64, frames)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * hz * float64(i) / rate)
	}
	return scale(x, dBFS)
}

// save writes channels as 24-bit WAV, clipping at full scale.
func save(t testing.TB, channels ...[]float64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "take.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: rate, Channels: len(channels)}, wavfile.PCM24)
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

// talk is the voice of testdata at a rate, as often as it takes.
func talk(t testing.TB, rateHz int, seconds float64) []float32 {
	t.Helper()
	r, err := wavfile.Open("../../testdata/signals/speech_22k.wav")
	require.NoError(t, err)
	defer r.Close()
	x := make([]float32, r.Frames())
	_, err = r.Read(x)
	require.NoError(t, err)
	once := make([]float32, len(x)*rateHz/r.Format().RateHz)
	made, _ := resample.New(r.Format().RateHz, rateHz, 1).Process(once, x)
	all := make([]float32, int(seconds*float64(rateHz)))
	for i := range all {
		all[i] = 0.7 * once[i%made]
	}
	return all
}

// write16 writes channels as 16-bit WAV with room noise of its own in each.
func write16(t testing.TB, rateHz int, noiseDBFS float64, channels ...[]float32) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "take.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: rateHz, Channels: len(channels)}, wavfile.PCM16)
	require.NoError(t, err)
	noise := white(noiseDBFS, 10*rateHz, 3)
	block := make([]float32, len(channels)*len(channels[0]))
	for c, x := range channels {
		for i, v := range x {
			block[i*len(channels)+c] = v + float32(noise[(i+7919*c)%len(noise)])
		}
	}
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	return path
}
