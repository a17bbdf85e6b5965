package take

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

// Outcome is what Recover came to.
type Outcome string

// The outcomes.
const (
	Whole    Outcome = "whole"    // nothing to do
	MendedIt Outcome = "mended"   // every whole frame is there
	Empty    Outcome = "empty"    // ends before its first sample: nothing to save
	Busy     Outcome = "rolling"  // another program is recording it
	Hopeless Outcome = "hopeless" // Text says why
)

// Recovered is what became of a file.
type Recovered struct {
	Path    string  `json:"path"`
	Outcome Outcome `json:"outcome"`
	Text    string  `json:"text"`
	Frames  int64   `json:"frames"`
	Gained  int64   `json:"gained_frames"` // frames that a reader would not have found before
}

// Recover mends a WAV that was cut short, and what is kept beside it. A whole
// file is not touched. No sound is ever taken away.
func Recover(wav string) Recovered {
	sheet, errSheet := loadSheet(wav)
	rebuilt := errSheet == nil && rebuild(sheet)
	done, err := bwf.Mend(wav, errSheet == nil && sheet.State == Rolling, sheet.Markers)
	r := Recovered{Path: wav, Outcome: Whole, Frames: done.Frames}
	switch {
	case errors.Is(err, bwf.ErrBusy):
		r.Outcome, r.Text = Busy, err.Error()
	case err != nil && errSheet != nil && bwf.Headless(wav) > 0:
		r.Outcome, r.Text = Hopeless, headless(wav)
	case errors.Is(err, bwf.ErrNoSound):
		r.Outcome, r.Text = Empty, err.Error()
	case err != nil:
		r.Outcome, r.Text = Hopeless, err.Error()
	case rebuilt:
		r.Outcome, r.Text, r.Gained = MendedIt, "its header was broken", done.Frames
	case done.What != "":
		r.Outcome, r.Text, r.Gained = MendedIt, done.What, max(0, done.Frames-done.Before)
	case errSheet == nil && sheet.State == Rolling:
		r.Outcome, r.Text = MendedIt, "it was never ended"
	}
	if r.Outcome == MendedIt {
		if err := remake(wav, errSheet == nil); err != nil {
			r.Text += fmt.Sprintf("; its sheet: %v", err)
		}
	}
	return r
}

// headless says what to do with a take whose header and sheet are both lost:
// the sheet of another tells what its bytes mean.
func headless(wav string) string {
	return fmt.Sprintf("header and sheet are lost, %.1f MB of sound are there: copy the sheet of a take with the same tracks to %s, and mend again",
		float64(bwf.Headless(wav))/1e6, filepath.Base(sheetPath(wav)))
}

// RecoverAll does so for files, and for every WAV in folders.
func RecoverAll(paths ...string) (all []Recovered, err error) {
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, err
		}
		if !info.IsDir() {
			all = append(all, Recover(path))
			continue
		}
		found, err := List(path)
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			all = append(all, Recover(f.Take.Path))
		}
	}
	return all, nil
}

// rebuild writes the head of a file anew where it can't be read, or where it
// does not agree with the sheet of a take that was never ended.
func rebuild(t Take) bool {
	info, err := bwf.Read(t.Path)
	format, encoding := capture.Format{RateHz: t.RateHz, Channels: len(t.Tracks)}, wavfile.Named(t.Encoding)
	whole := err == nil && (t.State != Rolling || info.Ours() && info.Format == format && info.Encoding == encoding)
	if whole || encoding == 0 || wavfile.CheckFormat(format) != nil {
		return false
	}
	return bwf.Rebuild(t.Path, t.meta(), format, encoding) == nil
}

// remake measures a mended take of ours anew and keeps what is known of it.
func remake(wav string, sheet bool) error {
	info, err := bwf.Read(wav)
	if err != nil || !info.Ours() && !sheet {
		return err
	}
	t, err := Load(wav)
	if err != nil {
		return err
	}
	t.Path, t.State = filepath.Clean(wav), Mended
	err = measureFile(context.Background(), &t)
	return errors.Join(err, Save(t), bwf.Amend(wav, t.meta()))
}
