package dailies

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/verdict"
	"rollready/presets/whole"
)

// WriteOptions say what is written and how.
type WriteOptions struct {
	Dir      string
	Pattern  string         // of names, passes CheckPattern
	Roles    []verdict.Role // of the tracks; none: all
	Mend     bool           // also write the camera's sound, mended where it is bad
	Keep     string         // as in Options
	Progress Progress
}

// Output is a file that Write makes for a clip. A plain value.
type Output struct {
	Clip   int    `json:"clip"` // of the day
	Path   string `json:"path"`
	Frames int64  `json:"frames"`
	RateHz int    `json:"sample_rate_hz"`
	Done   bool   `json:"done"`   // written before, of the same day: nothing to do
	Mended bool   `json:"mended"` // the camera's sound, mended

	signature string
}

// Plan tells what Write would write, in the order of the clips.
func Plan(d Day, o WriteOptions) ([]Output, error) {
	shelf, err := newShelf(o.Keep)
	if err != nil {
		return nil, err
	}
	var all []Output
	for i, name := range names(d.Clips, o.Pattern) {
		if name == "" {
			continue
		}
		c := d.Clips[i]
		out := Output{Clip: i, Path: filepath.Join(o.Dir, name+".wav"), RateHz: c.Parts[0].Take.RateHz}
		all = append(all, out.planned(c, shelf, o.Roles))
		if o.Mend && len(c.Mendable()) > 0 {
			out = Output{Clip: i, Path: filepath.Join(o.Dir, name+"_mended.wav"), RateHz: c.RateHz, Mended: true}
			all = append(all, out.planned(c, shelf, nil))
		}
	}
	return all, nil
}

func (o Output) planned(c Clip, s shelf, roles []verdict.Role) Output {
	o.Frames, o.signature = c.framesAt(o.RateHz), signature(c, roles)
	o.Done = s.written(o)
	return o
}

// framesAt is the clip's length at a rate.
func (c Clip) framesAt(rateHz int) int64 {
	if p := c.Picture; p.Frames > 0 {
		return int64(math.Round(float64(p.Frames) * float64(p.Rate.Den) * float64(rateHz) / float64(p.Rate.Num)))
	}
	return int64(math.Round(float64(c.Frames) * float64(rateHz) / float64(c.RateHz)))
}

func signature(c Clip, roles []verdict.Role) string {
	c.Heard, c.Findings = nil, nil
	c.Parts = slices.Clone(c.Parts)
	for i := range c.Parts {
		c.Parts[i].Take.Findings = nil
	}
	raw, err := json.Marshal([]any{c, roles})
	if err != nil { // a figure that is no number
		return ""
	}
	return hash(string(raw))
}

// Write writes what of a plan is not done yet. A file that can't be written is
// among the failures and does not stop the others; the context does, and
// leaves no half file.
func Write(ctx context.Context, d Day, plan []Output, o WriteOptions) ([]Failure, error) {
	shelf, err := newShelf(o.Keep)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(o.Dir, 0o755); err != nil {
		return nil, fmt.Errorf("make the folder for the sound: %w", err)
	}
	failures := make([]error, len(plan))
	err = inParallel(ctx, len(plan), func(i int) error {
		if !plan[i].Done {
			failures[i] = d.Clips[plan[i].Clip].write(ctx, shelf, plan[i], o)
		}
		return ctx.Err()
	}, func(done int64) {
		if o.Progress != nil {
			o.Progress("write", done, int64(len(plan)))
		}
	})
	var failed []Failure
	for i, e := range failures {
		if e != nil && err == nil {
			failed = append(failed, Failure{plan[i].Path, e.Error()})
		}
	}
	return failed, err
}

// write writes one file beside its place under another name, and puts it there
// when it is whole.
func (c Clip) write(ctx context.Context, s shelf, out Output, o WriteOptions) error {
	_, err := os.Lstat(out.Path)
	if _, ours := s.ours(out.Path); err == nil && !ours {
		return fmt.Errorf("%s exists and is not of this day's making: move it away, or use --names", out.Path)
	}
	part := filepath.Join(filepath.Dir(out.Path), "."+filepath.Base(out.Path)+".part")
	if !bwf.Busy(part) { // left by a run that was killed
		if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	defer os.Remove(part) // gone already where all went well
	write := c.writeSound
	if out.Mended {
		write = func(ctx context.Context, out Output, _ WriteOptions, path string) error {
			return c.writeMended(ctx, out, path)
		}
	}
	if err := write(ctx, out, o, part); err != nil {
		return fmt.Errorf("%s was not written: %w", out.Path, err)
	}
	if err := os.Rename(part, out.Path); err != nil {
		return err
	}
	return errors.Join(whole.SyncFolder(filepath.Dir(out.Path)), s.noteWritten(out))
}

func (c Clip) writeSound(ctx context.Context, out Output, o WriteOptions, path string) error {
	channels := chosen(c.Parts[0].Take, o.Roles)
	format := capture.Format{RateHz: out.RateHz, Channels: len(channels)}
	encoding := wavfile.PCM24
	if c.Parts[0].Take.Bits > 24 {
		encoding = wavfile.Float32
	}
	m := c.meta(channels)
	w, err := bwf.Create(path, format, encoding, m, nil)
	if err != nil {
		return err
	}
	err = c.stream(ctx, out, o.Roles, w, format)
	return errors.Join(err, w.Close(m, nil))
}

// stream writes the parts one behind the other, silence between them.
func (c Clip) stream(ctx context.Context, out Output, roles []verdict.Role, w *bwf.Writer, format capture.Format) error {
	at := int64(0)
	frame := func(s float64) int64 { return max(at, min(out.Frames, int64(math.Ceil(s*float64(out.RateHz))))) }
	for _, p := range c.Parts {
		from := frame(p.FromS(c.Recording))
		if err := silence(ctx, w, format, from-at); err != nil {
			return err
		}
		at = from
		end := frame(p.ToS(c.Recording))
		if err := c.part(ctx, p, chosen(p.Take, roles), w, format, at, end); err != nil {
			return err
		}
		at = end
	}
	return silence(ctx, w, format, out.Frames-at)
}

// part writes the frames from … end of the clip out of a take.
func (c Clip) part(ctx context.Context, p Part, channels []int, w *bwf.Writer, format capture.Format, from, end int64) error {
	take, err := open(ctx, p.Take)
	if err != nil {
		return err
	}
	defer take.Close()
	f, err := newFollower(take, channels, p.TakeS(c.Recording, float64(from)/float64(format.RateHz)), p.Fit.PPM, format.RateHz)
	if err != nil {
		return err
	}
	block, wide := make([]float32, readFrames*len(channels)), make([]float32, readFrames*format.Channels)
	for at := from; at < end; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := int(min(readFrames, end-at))
		if err := f.read(block[:n*len(channels)]); err != nil {
			return err
		}
		for i := range n * format.Channels {
			wide[i] = 0
			if k := i % format.Channels; k < len(channels) {
				wide[i] = block[i/format.Channels*len(channels)+k]
			}
		}
		if err := w.Write(wide[:n*format.Channels]); err != nil {
			return err
		}
		at += int64(n)
	}
	return nil
}

func silence(ctx context.Context, w *bwf.Writer, format capture.Format, frames int64) error {
	block := make([]float32, readFrames*format.Channels)
	for frames > 0 {
		if err := ctx.Err(); err != nil {
			return err
		}
		n := min(readFrames, frames)
		if err := w.Write(block[:n*int64(format.Channels)]); err != nil {
			return err
		}
		frames -= n
	}
	return nil
}

// meta is what the file says about its sound.
func (c Clip) meta(channels []int) bwf.Meta {
	t := c.Parts[0].Take
	m := bwf.Meta{Scene: t.Scene, Take: t.Take, Started: c.Began(), Note: c.note()}
	if m.Scene == "" {
		m.Scene = Stem(t.Path)
	}
	for _, k := range channels {
		name := fmt.Sprintf("track %d", k+1)
		if k < len(t.Tracks) && t.Tracks[k].Name != "" {
			name = t.Tracks[k].Name
		}
		m.Tracks = append(m.Tracks, name)
	}
	return m
}

// note tells what the sound is of and where it lay.
func (c Clip) note() string {
	text := "runs with " + filepath.Base(c.Path)
	for _, p := range c.Parts {
		text += fmt.Sprintf("; from %s at %.6f s, clock %+.2f ppm", filepath.Base(p.Take.Path), p.TakeS(c.Recording, p.FromS(c.Recording)), p.Fit.PPM)
	}
	return text
}
