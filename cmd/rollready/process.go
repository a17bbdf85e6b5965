package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig"
	"rollready/capture/survey"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/plain"
	"rollready/dsp/strips"
	"rollready/presets/whole"
)

// processFlags are those of the command process.
type processFlags struct {
	chainFlags
	channels, encoding string
	overwrite          bool
}

func newProcess(a *app) *cobra.Command {
	f := &processFlags{}
	cmd := &cobra.Command{
		Use:   "process IN OUT",
		Short: "Run a file through a preset's chain",
		Long: `Runs a recording through gain, filters and limiter: every sample is what the
live monitor would have given, and stays in step with the picture, for what the
limiter delays is taken back. OUT is a WAV file that appears at once and whole
when it is done; it becomes RF64 where it passes 4 GiB. It keeps the time
reference, markers, scene and notes of IN. Without chain flags the chain is as
last set in the monitor; with any, the rest of the chain is off.

Of a take its raw tracks go through the chain; of a file with more than two
channels each by itself. With --route OUT is what the camera would get.`,
		Example: `  rollready process harbour-wall.wav harbour-wall-dry.wav --preset "outdoor wind"
  rollready process take.wav louder.wav --gain 6 --limit -1 --encoding 24`,
		Args: exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd.Context(), a, args[0], args[1])
		},
	}
	f.chainFlags.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.channels, "channels", "", "`WHICH`: 1, 2, … for one; 1+2 for a pair; mix for the mean of all; all; of a take its raw tracks, else all, if not given")
	flags.StringVar(&f.encoding, "encoding", "", "`BITS`: 16, 24, 32, float or double; that of IN if not given")
	flags.BoolVar(&f.overwrite, "replace", false, "replace OUT where it exists")
	return cmd
}

func (f *processFlags) run(ctx context.Context, a *app, in, out string) error {
	store := a.store()
	set, err := f.chainFlags.settings(a.settings(store).Strips, store.Presets)
	if err != nil {
		return err
	}
	if f.Route == "" { // the strips themselves, wherever the monitor sends them
		set.Route = ""
	}
	reader, err := recording.Open(ctx, in)
	if err != nil {
		return err
	}
	defer reader.Close()
	encoding := wavfile.Named(f.encoding)
	if f.encoding == "" {
		encoding = reader.Encoding()
	}
	if encoding == 0 {
		return fmt.Errorf("--encoding %q: choose 16, 24, 32, float or double", f.encoding)
	}
	if err := f.mayWrite(in, out); err != nil {
		return err
	}
	choice, err := offline.Choose(reader, f.channels)
	if err != nil {
		return err
	}
	process, err := offline.NewProcess(reader, set, choice.Picks...)
	if err != nil {
		return fmt.Errorf("%s: %w", in, err)
	}
	if err := f.chainFlags.fits(process.Strips()); err != nil {
		return err
	}
	a.warn(rig.CutShort(in, reader))
	set = set.Fit(min(process.Strips(), strips.Max))
	for _, c := range set.Chains() {
		a.warn(c.LowPass.Held("low-pass", reader.Format().RateHz))
		a.warn(c.HighPass.Held("high-pass", reader.Format().RateHz))
		if !set.Unlinked {
			break
		}
	}
	tags := bwf.Carry(reader.Tags(), bwf.Change{Format: process.Format(), Encoding: encoding, Tracks: process.Names(), Done: doneWords(set)})
	writer, err := wavfile.Replace(out, process.Format(), encoding, tags...)
	if err != nil {
		return err
	}
	result, err := f.write(ctx, a, process, writer, reader.Frames(), in, out)
	if err != nil {
		return err
	}
	f.tell(a, result, encoding, out)
	_, err = fmt.Fprintf(a.stdout, "%s: %.1f s, %s, %s, %s\n", plain.Text(out), float64(result.Frames)/float64(process.Format().RateHz),
		choice.Words, encoding, set.Words(set.Count))
	return err
}

// doneWords is what the chain does to the sound, for the file's history; ""
// where it does nothing.
func doneWords(set strips.Settings) string {
	if set.Flat() && set.Route == "" {
		return ""
	}
	return strings.ReplaceAll(set.Words(set.Count), "−", "-")
}

// mayBeWAV refuses the name of another kind of file: only WAV is written.
func mayBeWAV(name string) error {
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
func (f *processFlags) mayWrite(in, out string) error {
	if err := mayBeWAV(out); err != nil {
		return err
	}
	there, err := os.Stat(out)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if from, err := os.Stat(in); err == nil && os.SameFile(from, there) {
		return fmt.Errorf("%s is both IN and OUT: give OUT another name", out)
	}
	if there.IsDir() {
		return fmt.Errorf("%s is a folder: give OUT the name of a file", out)
	}
	if !f.overwrite {
		return fmt.Errorf("%s exists: give OUT another name, or use --replace", out)
	}
	return nil
}

func (f *processFlags) write(ctx context.Context, a *app, p *offline.Process, writer *wavfile.Writer, frames int64, in, out string) (offline.Result, error) {
	defer writer.Abort()
	show, stop := showBar(a.stderr, filepath.Base(out), frames)
	result, err := p.Run(ctx, writer, show)
	stop()
	if errors.Is(err, context.Canceled) {
		return result, fmt.Errorf("stopped: %s was not written", out)
	}
	if err != nil {
		return result, fmt.Errorf("%s was not written: %w", out, err)
	}
	if err := f.mayWrite(in, out); err != nil { // it may have come into being meanwhile
		return result, err
	}
	if err := writer.Close(); err != nil {
		return result, fmt.Errorf("%s was not written: %w", out, err)
	}
	return result, nil
}

// tell warns of what the file had to bear.
func (f *processFlags) tell(a *app, r offline.Result, e wavfile.Encoding, out string) {
	if r.Sanitised > 0 {
		a.warn(fmt.Errorf("%d samples were not finite numbers and became silence", r.Sanitised))
	}
	if r.Overs > 0 && e != wavfile.Float32 && e != wavfile.Float64 {
		a.warn(fmt.Errorf("%s clips: %d samples went beyond full scale: lower the gain, use --limit -1, or --encoding float", out, r.Overs))
	}
}
