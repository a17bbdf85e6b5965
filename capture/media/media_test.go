package media

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
)

const frames = 44100

// writeTone writes a second of two different tones as 24-bit WAV.
func writeTone(t *testing.T) (path string, want []float32) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "tone.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: 44100, Channels: 2}, wavfile.PCM24)
	require.NoError(t, err)
	want = make([]float32, 2*frames)
	for i := range frames {
		want[2*i] = float32(math.Round(0x7fffff*0.5*math.Sin(float64(i)/7))) / 0x800000
		want[2*i+1] = float32(math.Round(0x7fffff*0.2*math.Sin(float64(i)/31))) / 0x800000
	}
	require.NoError(t, w.Write(want))
	require.NoError(t, w.Close())
	return path, want
}

func readAll(t *testing.T, path string) (Reader, []float32) {
	t.Helper()
	r, err := Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = r.Close() })
	var all []float32
	block := make([]float32, r.Format().Channels*999)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			return r, all
		}
		require.NoError(t, err)
		all = append(all, block[:n*r.Format().Channels]...)
	}
}

// encode has ffmpeg write the tone in another container.
func encode(t *testing.T, from, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		require.Empty(t, os.Getenv("CI"), "ffmpeg must be installed for this test")
		t.Skip("install ffmpeg for this test")
	}
	to := filepath.Join(t.TempDir(), name)
	all := append(append([]string{"-v", "error", "-i", from}, args...), to)
	out, err := exec.Command("ffmpeg", all...).CombinedOutput()
	require.NoError(t, err, string(out))
	return to
}

// The encoder is ffmpeg's, the decoder is not.
func TestFLACGivesTheSameFrames(t *testing.T) {
	path, want := writeTone(t)
	r, got := readAll(t, encode(t, path, "tone.flac", "-sample_fmt", "s32", "-bits_per_raw_sample", "24"))
	require.Equal(t, capture.Format{RateHz: 44100, Channels: 2}, r.Format())
	require.EqualValues(t, frames, r.Frames())
	require.Equal(t, want, got)
	require.False(t, r.Truncated())
}

func TestCutFLACIsReadAsFarAsItGoes(t *testing.T) {
	path, _ := writeTone(t)
	whole := encode(t, path, "tone.flac")
	raw, err := os.ReadFile(whole)
	require.NoError(t, err)
	cut := filepath.Join(t.TempDir(), "cut.flac")
	require.NoError(t, os.WriteFile(cut, raw[:len(raw)/2], 0o600))
	r, got := readAll(t, cut)
	require.NotEmpty(t, got)
	require.Less(t, len(got), 2*frames)
	require.True(t, r.Truncated())
}

func TestAVideoFilesSoundIsRead(t *testing.T) {
	path, want := writeTone(t)
	_, got := readAll(t, encode(t, path, "clip.mov", "-c:a", "pcm_s24le"))
	require.Equal(t, want, got)
}

func TestWhatIsNoSoundIsRefusedInOneLine(t *testing.T) {
	folder := t.TempDir()
	for name, c := range map[string]struct {
		content []byte
		says    string
	}{
		"empty.wav": {nil, "empty"},
		"notes.wav": {[]byte("call sheet, day 2\n"), "text"},
		"riff.wav":  {[]byte("RIFF\x04\x00\x00\x00WAVE"), "no data chunk"},
		"bad.flac":  {[]byte("fLaC\xff\xff\xff\xff"), "FLAC"},
		"junk.mov":  {[]byte("\x00\x01\x02\x03junk"), "ffmpeg"},
	} {
		path := filepath.Join(folder, name)
		require.NoError(t, os.WriteFile(path, c.content, 0o600))
		_, err := Open(context.Background(), path)
		require.ErrorContains(t, err, c.says, name)
		require.NotContains(t, err.Error(), "\n", name)
	}
	_, err := Open(context.Background(), folder)
	require.ErrorContains(t, err, "not a file")
}

func FuzzFLAC(f *testing.F) {
	f.Add([]byte("fLaC\x00\x00\x00\x22"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		path := filepath.Join(t.TempDir(), "x.flac")
		require.NoError(t, os.WriteFile(path, append([]byte("fLaC"), raw...), 0o600))
		r, err := Open(context.Background(), path)
		if err != nil {
			return
		}
		block := make([]float32, 4096)
		for range 1000 {
			if _, err := r.Read(block); err != nil {
				break
			}
		}
		require.NoError(t, r.Close())
	})
}
