package take

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"rollready/capture/take/bwf"
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
	Path    string
	Outcome Outcome
	Text    string
	Frames  int64
	Gained  int64 // frames that a reader would not have found before
}

// Recover mends a WAV that was cut short, and what is kept beside it. A whole
// file is not touched. No sound is ever taken away.
func Recover(wav string) Recovered {
	sheet, errSheet := loadSheet(wav)
	done, err := bwf.Mend(wav, errSheet == nil && sheet.State == Rolling, sheet.Markers)
	r := Recovered{Path: wav, Outcome: Whole, Frames: done.Frames}
	switch {
	case errors.Is(err, bwf.ErrBusy):
		r.Outcome, r.Text = Busy, err.Error()
	case errors.Is(err, bwf.ErrNoSound):
		r.Outcome, r.Text = Empty, err.Error()
	case err != nil:
		r.Outcome, r.Text = Hopeless, err.Error()
	case done.What != "":
		r.Outcome, r.Text, r.Gained = MendedIt, done.What, max(0, done.Frames-done.Before)
	case errSheet == nil && sheet.State == Rolling:
		r.Outcome, r.Text = MendedIt, "it was never ended"
	}
	if r.Outcome == MendedIt {
		if err := remake(wav); err != nil {
			r.Text += fmt.Sprintf("; its sheet: %v", err)
		}
	}
	return r
}

// RecoverFolder does so for every WAV in a folder.
func RecoverFolder(dir string) ([]Recovered, error) {
	found, err := List(dir)
	if err != nil {
		return nil, err
	}
	var all []Recovered
	for _, f := range found {
		all = append(all, Recover(f.Take.Path))
	}
	return all, nil
}

// remake measures a mended take of ours anew and keeps what is known of it.
func remake(wav string) error {
	info, err := bwf.Read(wav)
	if err != nil || !info.Ours() {
		return err
	}
	t, err := Load(wav)
	if err != nil {
		return err
	}
	t.Path, t.State = filepath.Clean(wav), Mended
	if err := measureFile(context.Background(), &t); err != nil {
		return err
	}
	return errors.Join(Save(t), bwf.Amend(wav, t.meta()))
}
