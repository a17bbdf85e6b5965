package recording

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"

	"rollready/capture/wavfile"
)

// foreignReader reads the sound that ffmpeg took out of another container. It
// lies in a temporary file, so that its length is known and it can be read at
// the speed of any other.
type foreignReader struct {
	waveReader
	folder string
}

// openForeign takes a sound out of a container, or, for the number 0, all of
// them; why says what it is not.
func openForeign(ctx context.Context, path string, number int, why string) (Reader, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, fmt.Errorf("open %s: %s, and ffmpeg is not installed: install it, or save the sound as 24-bit WAV", path, why)
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
	// An open file stays readable without its name, and so leaves nothing
	// behind however the program ends; where the system refuses, Close does it.
	_ = os.RemoveAll(folder)
	if err != nil {
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
	to := []string{"-c:a", "pcm_f32le", "-rf64", "auto", "-bitexact", "-y", sound}
	if number == 0 {
		if merge := merging(ctx, program, full); merge != "" {
			if _, err := ffmpeg(ctx, program, full, append([]string{"-v", "error", "-filter_complex", merge}, to...)...); err == nil || errors.Is(err, context.Canceled) {
				return err
			}
		}
		number = 1
	}
	said, err := ffmpeg(ctx, program, full, append([]string{"-v", "error", "-map", fmt.Sprintf("0:a:%d", number-1)}, to...)...)
	if strings.Contains(said, "No space left") {
		return fmt.Errorf("no room for its sound in %s: make room there, or name another folder in TMPDIR", os.TempDir())
	}
	if err != nil && !errors.Is(err, context.Canceled) {
		first, _, _ := strings.Cut(strings.TrimSpace(said), "\n")
		what := "no sound"
		if number > 1 {
			what = fmt.Sprintf("no sound track %d", number)
		}
		return fmt.Errorf("ffmpeg finds %s in it (%s): choose a file with sound", what, first)
	}
	return err
}

// ffmpeg runs it on a file and gives what it says.
func ffmpeg(ctx context.Context, program, path string, args ...string) (said string, err error) {
	cmd := exec.CommandContext(ctx, program, append([]string{"-hide_banner", "-nostdin", "-i", "file:" + path}, args...)...)
	var text bytes.Buffer
	cmd.Stderr = &text
	err = cmd.Run()
	if cmd.ProcessState != nil && cmd.ProcessState.ExitCode() == interrupted {
		err = context.Canceled // ctrl-c on a terminal reaches it before us
	}
	return text.String(), cmp.Or(ctx.Err(), err)
}

// interrupted is ffmpeg's exit code after a signal.
const interrupted = 255

// merging is the filter that puts the sounds of a container side by side, ""
// where there is one. They are those of the layout of the first. Single ones
// are freed of their place in a room, by which ffmpeg would sort them.
func merging(ctx context.Context, program, path string) string {
	said, _ := ffmpeg(ctx, program, path) // it misses an output file, having said what the container holds
	var first, prepare, join string
	count := 0
	for _, found := range soundLine.FindAllStringSubmatch(said, -1) {
		name, codec, layout := found[1], found[2], strings.Replace(found[3], "1 channels", "mono", 1)
		layout, _, _ = strings.Cut(layout, " ")
		if first = cmp.Or(first, layout); codec == "none" || layout != first {
			continue
		}
		if layout == "mono" {
			prepare += fmt.Sprintf("[%s]pan=mono|c0=c0[s%d];", name, count)
			name = fmt.Sprintf("s%d", count)
		}
		join += "[" + name + "]"
		count++
	}
	if count < 2 {
		return ""
	}
	return fmt.Sprintf("%s%samerge=inputs=%d", prepare, join, count)
}

// soundLine is how ffmpeg tells of a sound: "Stream #0:1[0x2](und): Audio: aac
// (LC) (mp4a / 0x6134706D), 48000 Hz, stereo, fltp, 128 kb/s".
var soundLine = regexp.MustCompile(`Stream #(\d+:\d+)[^\n]*?: Audio: (\w+)[^\n]*? Hz, ([^,\n]+)`)
