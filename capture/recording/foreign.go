package recording

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"rollready/capture/wavfile"
)

// ErrNoFFmpeg means that a container can't be opened for want of ffmpeg.
var ErrNoFFmpeg = errors.New("ffmpeg is not installed: install it, or save the sound as 24-bit WAV")

// foreignReader reads the sound that ffmpeg took out of another container. It
// lies in a temporary file, so that its length is known and it can be read at
// the speed of any other.
type foreignReader struct {
	waveReader
	folder string
}

// openForeign takes a sound out of a container; why says what it is not.
func openForeign(ctx context.Context, path string, number int, why string) (Reader, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, fmt.Errorf("open %s: %s, and %w", path, why, ErrNoFFmpeg)
	}
	folder, err := os.MkdirTemp("", "rollready")
	if err != nil {
		return nil, err
	}
	sound := filepath.Join(folder, "sound.wav")
	err = extract(ctx, program, path, sound, number)
	var r *wavfile.Reader
	if err == nil {
		r, err = wavfile.Open(sound)
	}
	if err != nil {
		_ = os.RemoveAll(folder)
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	return &foreignReader{waveReader{r}, folder}, nil
}

// extract writes the sound as 32-bit float, which loses nothing of any format
// a camera records.
func extract(ctx context.Context, program, path, sound string, number int) error {
	full, err := filepath.Abs(path) // so that a name like "-y" is no option
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, program, "-v", "error", "-nostdin", "-i", "file:"+full,
		"-map", fmt.Sprintf("0:a:%d", number-1), "-c:a", "pcm_f32le", "-rf64", "auto", "-bitexact", sound)
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); ctx.Err() != nil {
		return ctx.Err()
	} else if err != nil {
		first, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
		return fmt.Errorf("ffmpeg finds no sound %d in it (%s): choose a file with sound", number, first)
	}
	return nil
}

// Close also removes the temporary file.
func (r *foreignReader) Close() error {
	return errors.Join(r.Reader.Close(), os.RemoveAll(r.folder))
}
