package deck

import (
	"bytes"
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"time"

	"rollready/capture/take"
	"rollready/capture/take/soundreport"
	"rollready/presets/whole"
)

// Folder is where the takes lie.
func (d *Deck) Folder() string { return d.used.Load().Dir }

// Takes lists what lies there, in the order it was recorded. A folder that is
// not there yet has no takes.
func (d *Deck) Takes() ([]take.Found, error) {
	found, err := take.List(d.Folder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	d.judge(found)
	return found, err
}

// judge measures in the background those that nobody measured whole yet: the
// next list knows.
func (d *Deck) judge(found []take.Found) {
	waits := slices.ContainsFunc(found, func(f take.Found) bool {
		word, _ := f.Take.Verdict()
		return f.Err == nil && word == take.Unjudged
	})
	if !waits || !d.judging.CompareAndSwap(false, true) {
		return
	}
	found = slices.Clone(found)
	d.session.Go(func() {
		defer d.judging.Store(false)
		take.JudgeAll(d.open, found)
	})
}

// Mend mends the takes that a crash left rolling, and gives those that were.
func (d *Deck) Mend() (mended []take.Recovered, err error) {
	found, err := d.Takes()
	for _, f := range found {
		if f.Take.State != take.Rolling {
			continue
		}
		if r := take.Recover(f.Take.Path); r.Outcome != take.Busy {
			mended = append(mended, r)
		}
	}
	return mended, err
}

// Change alters what is known of a finished take.
func (d *Deck) Change(wav string, alter func(*take.Take)) (take.Take, error) {
	return take.Change(wav, alter)
}

// Delete moves a take away; Undo brings it back.
func (d *Deck) Delete(wav string) (take.Deleted, error) { return take.Delete(wav) }

// Undo brings a deleted take back.
func (d *Deck) Undo(t take.Deleted) error { return take.Undo(t) }

// Report writes the sound report of a day, or of all where none is known, as a
// page for screen and print and as a table, beside the takes, and gives the
// page's path. An older report of that day is replaced.
func (d *Deck) Report(day time.Time) (page string, err error) {
	r, err := soundreport.Read(d.Folder(), day, time.Now())
	if err != nil {
		return "", err
	}
	var html, table bytes.Buffer
	if err := errors.Join(soundreport.WriteHTML(&html, r), soundreport.WriteCSV(&table, r.Takes())); err != nil {
		return "", err
	}
	stem := filepath.Join(d.Folder(), "sound report")
	if !day.IsZero() {
		stem += " " + day.Format("2006-01-02")
	}
	return stem + ".html", errors.Join(whole.Write(stem+".html", html.Bytes(), 0o644), whole.Write(stem+".csv", table.Bytes(), 0o644))
}

// Next is the number of the next take of a scene.
func (d *Deck) Next(scene string) int {
	used := d.used.Load()
	return take.NextNumber(used.Dir, used.Pattern, scene, false)
}
