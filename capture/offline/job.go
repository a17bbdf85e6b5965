package offline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rollready/capture/recording"
	"rollready/capture/survey"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/plain"
	"rollready/dsp/strips"
	"rollready/presets/whole"
)

// Job is a file that goes through a chain into another, which appears at once
// and whole when it is done.
type Job struct {
	In, Out  string
	Set      strips.Settings
	Channels string           // as Choose reads them
	Encoding wavfile.Encoding // 0: that of In
	Replace  bool             // Out where it exists
	Fits     func(int) error  // refuses settings for more microphones than there are
	Warn     func(error)      // told what does not stop the work; nil is nothing
	Show     func(frames int64) (done func(frames int64), stop func())
}

// Run does it, and says what was made. The error says what to do.
func (j Job) Run(ctx context.Context) (made string, err error) {
	reader, err := recording.Open(ctx, j.In)
	if err != nil {
		return "", err
	}
	defer reader.Close()
	if j.Encoding == 0 {
		j.Encoding = reader.Encoding()
	}
	if err := j.mayWrite(); err != nil {
		return "", err
	}
	choice, err := Choose(reader, j.Channels)
	if err != nil {
		return "", err
	}
	p, err := NewProcess(reader, j.Set, choice.Picks...)
	if err != nil {
		return "", fmt.Errorf("%s: %w", j.In, err)
	}
	if err := j.Fits(p.Strips()); err != nil {
		return "", err
	}
	j.Warn(recording.CutShort(j.In, reader))
	j.Set = j.Set.Fit(min(p.Strips(), strips.Max))
	j.warnHeld(reader.Format().RateHz)
	tags := bwf.Carry(reader.Tags(), bwf.Change{Format: p.Format(), Encoding: j.Encoding, Tracks: p.Names(), Done: j.history()})
	writer, err := wavfile.Replace(j.Out, p.Format(), j.Encoding, tags...)
	if err != nil {
		return "", err
	}
	result, err := j.write(ctx, p, writer, reader.Frames())
	if err != nil {
		return "", err
	}
	j.warnBorne(result)
	return fmt.Sprintf("%s: %.1f s, %s, %s, %s", plain.Text(j.Out), float64(result.Frames)/float64(p.Format().RateHz),
		choice.Words, j.Encoding, j.Set.Words(j.Set.Count)), nil
}

// warnHeld tells of filters that the sample rate does not hold.
func (j Job) warnHeld(rateHz int) {
	for _, c := range j.Set.Chains() {
		j.Warn(c.LowPass.Held("low-pass", rateHz))
		j.Warn(c.HighPass.Held("high-pass", rateHz))
		if !j.Set.Unlinked {
			break
		}
	}
}

// history is what the chain does to the sound, for the file's history; ""
// where it does nothing.
func (j Job) history() string {
	if j.Set.Flat() && j.Set.Route == "" {
		return ""
	}
	return strings.ReplaceAll(j.Set.Words(j.Set.Count), "−", "-")
}

// WAVName refuses the name of another kind of file: only WAV is written.
func WAVName(name string) error {
	ending := strings.ToLower(filepath.Ext(name))
	switch {
	case name == "":
		return whole.ErrNoName
	case name == "-":
		return errors.New("-: sound goes to a file only: name it, or write ./- for a file of that name")
	case slices.Contains([]string{".wav", ".wave", ".bwf", ".rf64"}, ending) || !survey.Recording(name):
		return nil
	}
	return fmt.Errorf("%s: only WAV is written: let the name end in .wav", name)
}

// mayWrite refuses to lose a file.
func (j Job) mayWrite() error {
	if err := WAVName(j.Out); err != nil {
		return err
	}
	there, err := os.Stat(j.Out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case sameFile(j.In, there):
		return fmt.Errorf("%s is both IN and OUT: give OUT another name", j.Out)
	case there.IsDir():
		return fmt.Errorf("%s is a folder: give OUT the name of a file", j.Out)
	case !j.Replace:
		return fmt.Errorf("%s exists: give OUT another name, or use --replace", j.Out)
	}
	return nil
}

func sameFile(path string, as os.FileInfo) bool {
	info, err := os.Stat(path)
	return err == nil && os.SameFile(info, as)
}

func (j Job) write(ctx context.Context, p *Process, writer *wavfile.Writer, frames int64) (Result, error) {
	defer writer.Abort()
	show, stop := j.Show(frames)
	result, err := p.Run(ctx, writer, show)
	stop()
	if errors.Is(err, context.Canceled) {
		return result, fmt.Errorf("stopped: %s was not written", j.Out)
	}
	if err == nil {
		if err := j.mayWrite(); err != nil { // it may have come into being meanwhile
			return result, err
		}
		err = writer.Close()
	}
	if err != nil {
		err = fmt.Errorf("%s was not written: %w", j.Out, err)
	}
	return result, err
}

// warnBorne tells what the file had to bear.
func (j Job) warnBorne(r Result) {
	if r.Sanitised > 0 {
		j.Warn(fmt.Errorf("%d samples were not finite numbers and became silence", r.Sanitised))
	}
	if r.Overs > 0 && j.Encoding != wavfile.Float32 && j.Encoding != wavfile.Float64 {
		j.Warn(fmt.Errorf("%s clips: %d samples went beyond full scale: lower the gain, use --limit -1, or --encoding float", j.Out, r.Overs))
	}
}
