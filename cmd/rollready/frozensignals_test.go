package main

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// frozenSignals writes the recordings that the frozen scripts work on.
func frozenSignals(t *testing.T, dir string) {
	const rate = 44100
	voice := spokenAt44k(t)
	room := hiss(5*rate, -66, 1)
	kitchen := append(room, voice...)
	add(kitchen, hiss(len(kitchen), -66, 2))
	loud := scaled(voice[:4*rate], 12)
	for i, v := range loud {
		loud[i] = max(-1, min(1, v))
	}
	hum := hiss(4*rate, -70, 3)
	for h := 1; h <= 3; h++ {
		add(hum, sine(float64(50*h), -30-6*float64(h), len(hum), rate))
	}
	short := voice[:4*rate]
	silent := make([]float32, len(short))
	write := func(name string, e wavfile.Encoding, rateHz int, tracks ...[]float32) {
		w, err := wavfile.Create(filepath.Join(dir, name), capture.Format{RateHz: rateHz, Channels: len(tracks)}, e)
		require.NoError(t, err)
		require.NoError(t, w.Write(woven(tracks)))
		require.NoError(t, w.Close())
	}
	write("kitchen.wav", wavfile.PCM24, rate, kitchen, kitchen)
	write("loud.wav", wavfile.PCM16, rate, loud)
	write("hum.wav", wavfile.Float32, rate, hum)
	write("four.wav", wavfile.PCM24, rate, scaled(short, -6), silent, short, scaled(short, -10))
	write("far.wav", wavfile.PCM24, rate, scaled(short, -12))
	write("inverted.wav", wavfile.PCM24, rate, short, negative(short))
	write("silence.wav", wavfile.PCM16, 48000, silent[:48000], silent[:48000])
	steady := sine(1000, -20, 3*48000, 48000)
	write("steady.wav", wavfile.PCM24, 48000, steady)
	write("cut.wav", wavfile.PCM24, 48000, steady)
	require.NoError(t, os.Truncate(filepath.Join(dir, "cut.wav"), 100_001))
	flac, err := os.ReadFile("testdata/frozen/tone.flac")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tone.flac"), flac, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "empty.wav"), nil, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "letter.wav"), []byte("dear aunt, this is no sound\n"), 0o644))
}

// spokenAt44k is the voice of testdata/signals at twice its rate, samples in
// between on a straight line.
func spokenAt44k(t *testing.T) []float32 {
	spoken, channels := readAllFrames(t, "../../testdata/signals/speech_22k.wav")
	require.Equal(t, 1, channels)
	voice := make([]float32, 0, 2*len(spoken))
	var last float32
	for _, v := range spoken {
		voice = append(voice, (last+v)/2, v)
		last = v
	}
	return voice
}

// hiss is Gaussian noise of an AES17 rms level, the same for the same seed.
func hiss(frames int, dbfs float64, seed uint64) []float32 {
	random := rand.New(rand.NewPCG(seed, 17))
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(math.Pow(10, (dbfs-3.01)/20) * random.NormFloat64())
	}
	return x
}

func sine(hz, dbfs float64, frames, rateHz int) []float32 {
	x := make([]float32, frames)
	for i := range x {
		x[i] = float32(math.Pow(10, dbfs/20) * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)))
	}
	return x
}

func scaled(x []float32, gainDB float64) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = v * float32(math.Pow(10, gainDB/20))
	}
	return y
}

func negative(x []float32) []float32 {
	y := make([]float32, len(x))
	for i, v := range x {
		y[i] = -v
	}
	return y
}

func add(to, x []float32) {
	for i, v := range x {
		to[i] += v
	}
}

// woven lays tracks out as interleaved frames.
func woven(tracks [][]float32) []float32 {
	block := make([]float32, 0, len(tracks)*len(tracks[0]))
	for i := range tracks[0] {
		for _, track := range tracks {
			block = append(block, track[i])
		}
	}
	return block
}
