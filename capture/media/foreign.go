package media

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"rollready/capture/wavfile"
)

// ErrNoFFmpeg means that a container can't be opened for want of ffmpeg.
var ErrNoFFmpeg = errors.New("ffmpeg is not installed: install it, or export the sound as WAV")

// foreignReader reads the sound that ffmpeg took out of another container. It
// lies in a temporary file, so that its length is known and it can be read at
// the speed of any other.
type foreignReader struct {
	*wavfile.Reader
	folder string
}

// openForeign takes the first sound track out of a container.
func openForeign(ctx context.Context, path string) (Reader, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, fmt.Errorf("open %s: neither WAV nor FLAC, and %w", path, ErrNoFFmpeg)
	}
	folder, err := os.MkdirTemp("", "rollready")
	if err != nil {
		return nil, err
	}
	sound := filepath.Join(folder, "sound.wav")
	r, err := extract(ctx, program, path, sound)
	if err != nil {
		_ = os.RemoveAll(folder)
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	return &foreignReader{r, folder}, nil
}

// extract writes the sound as 32-bit float, which loses nothing of any format
// a camera records, and opens it.
func extract(ctx context.Context, program, path, sound string) (*wavfile.Reader, error) {
	full, err := filepath.Abs(path) // so that a name like "-y" is no option
	if err != nil {
		return nil, err
	}
	cmd := exec.CommandContext(ctx, program, "-v", "error", "-nostdin",
		"-i", "file:"+full, "-map", "0:a:0", "-c:a", "pcm_f32le", "-rf64", "auto", sound)
	if err := cmd.Run(); ctx.Err() != nil {
		return nil, ctx.Err()
	} else if err != nil {
		return nil, errors.New("ffmpeg finds no sound in it")
	}
	return wavfile.Open(sound)
}

// Close also removes the temporary file.
func (r *foreignReader) Close() error {
	return errors.Join(r.Reader.Close(), os.RemoveAll(r.folder))
}
