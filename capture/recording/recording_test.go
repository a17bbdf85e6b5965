package recording

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
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

// Compressed WAV goes through ffmpeg; the encoder's noise is far below the tone.
func TestADPCMIsRead(t *testing.T) {
	path, want := writeTone(t)
	r, got := readAll(t, encode(t, path, "adpcm.wav", "-c:a", "adpcm_ima_wav"))
	require.InDelta(t, len(want), len(got), 4096)
	require.Equal(t, wavfile.Float32, r.Encoding())
	var noise, tone float64
	for i, x := range got[:2*frames-4096] {
		noise += math.Pow(float64(x-want[i]), 2)
		tone += math.Pow(float64(x), 2)
	}
	require.Less(t, noise, 0.01*tone)
}

// A container with a sound for each microphone: all channels, or the one named.
func TestSeveralSoundsOfACameraAreAllRead(t *testing.T) {
	path, want := writeTone(t)
	clip := encode(t, path, "clip.mov", "-filter_complex", "[0:a]channelsplit=channel_layout=stereo[l][r]", "-map", "[r]", "-map", "[l]", "-map", "[r2]", "-filter_complex", "[0:a]pan=mono|c0=c1[r2]", "-c:a", "pcm_s24le")
	r, got := readAll(t, clip)
	require.Equal(t, 3, r.Format().Channels)
	for i := range frames {
		require.Equal(t, []float32{want[2*i+1], want[2*i], want[2*i+1]}, got[3*i:3*i+3])
	}
	second, err := OpenSound(t.Context(), clip, 2)
	require.NoError(t, err)
	defer second.Close()
	block := make([]float32, 100)
	_, err = second.Read(block)
	require.NoError(t, err)
	require.Equal(t, want[2*99], block[99])
	_, err = OpenSound(t.Context(), clip, 4)
	require.ErrorContains(t, err, "no sound track 4")
}

func TestNothingIsLeftBehind(t *testing.T) {
	path, _ := writeTone(t)
	clip, empty := encode(t, path, "clip.m4a"), t.TempDir()
	t.Setenv("TMPDIR", empty)
	r, err := Open(t.Context(), clip)
	require.NoError(t, err)
	if runtime.GOOS != "windows" { // however the program ends
		found, err := os.ReadDir(empty)
		require.NoError(t, err)
		require.Empty(t, found)
	}
	require.NoError(t, r.Close())
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = Open(stopped, clip)
	require.ErrorIs(t, err, context.Canceled)
	found, err := os.ReadDir(empty)
	require.NoError(t, err)
	require.Empty(t, found)
}

func TestSaysWhatIsMissing(t *testing.T) {
	path, _ := writeTone(t)
	adpcm, clip := encode(t, path, "adpcm.wav", "-c:a", "adpcm_ima_wav"), encode(t, path, "clip.m4a")
	t.Setenv("PATH", t.TempDir())
	_, err := Open(context.Background(), adpcm)
	require.ErrorContains(t, err, "compressed as ADPCM, and ffmpeg is not installed: install it")
	_, err = Open(context.Background(), clip)
	require.ErrorContains(t, err, "ffmpeg is not installed: install it")
	_, err = OpenSound(context.Background(), path, 2)
	require.ErrorContains(t, err, "no sound track 2")
}

// Every kind goes on at any frame.
func TestSeekTo(t *testing.T) {
	path, want := writeTone(t)
	for _, path := range []string{path, encode(t, path, "tone.flac", "-sample_fmt", "s32", "-bits_per_raw_sample", "24"), encode(t, path, "clip.mov", "-c:a", "pcm_s24le")} {
		r, err := Open(context.Background(), path)
		require.NoError(t, err)
		block := make([]float64, 2*100)
		for _, at := range []int64{40000, 12, 5000, 0, frames - 100} {
			require.NoError(t, r.SeekTo(at))
			n, err := r.Read64(block)
			require.NoError(t, err)
			require.Equal(t, 100, n)
			for i, x := range block {
				require.EqualValues(t, want[2*int(at)+i], x)
			}
		}
		require.Error(t, r.SeekTo(frames+1))
		require.NoError(t, r.Close())
	}
}

// The fixtures are of testdata/reference; their chunks in the order of the file.
func TestTagsAndTracks(t *testing.T) {
	r, err := Open(context.Background(), "../../testdata/reference/fixture_bwf_v2_pcm24.wav")
	require.NoError(t, err)
	defer r.Close()
	var ids []string
	for _, tag := range r.Tags() {
		ids = append(ids, tag.ID)
	}
	require.Equal(t, []string{"bext", "iXML", "cue ", "LIST"}, ids)
	require.Len(t, r.Tracks(), 1)
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
		"radio.wav": {[]byte("RIFF\x04\x00\x00\x00AVI "), "ffmpeg"},
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
	require.ErrorContains(t, err, "that is a folder")
}
