package soundreport

import (
	"path/filepath"
	"time"

	"rollready/capture/take"
)

// Report is what is on the paper. A plain value.
type Report struct {
	Folder string // its name
	Made   time.Time
	Days   []Day
	Failed []Failure // files that could not be read
}

// Day holds the takes of one day, in the order they were made.
type Day struct {
	Date  time.Time
	Takes []take.Take
}

// Failure is a file that could not be read, and why.
type Failure struct {
	File string
	Why  string
}

// Read makes the report of a folder. day, if not zero, leaves out all others.
func Read(dir string, day, made time.Time) (Report, error) {
	found, err := take.List(dir)
	if err != nil {
		return Report{}, err
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		full = dir
	}
	r := Report{Folder: filepath.Base(full), Made: made}
	for _, f := range found {
		switch {
		case f.Err != nil:
			r.Failed = append(r.Failed, Failure{filepath.Base(f.Take.Path), f.Err.Error()})
		case day.IsZero() || sameDay(day, f.Take.Started):
			r.add(f.Take)
		}
	}
	return r, nil
}

func (r *Report) add(t take.Take) {
	if last := len(r.Days) - 1; last >= 0 && sameDay(r.Days[last].Date, t.Started) {
		r.Days[last].Takes = append(r.Days[last].Takes, t)
		return
	}
	r.Days = append(r.Days, Day{t.Started, []take.Take{t}})
}

// Takes gives all takes of the report.
func (r Report) Takes() (all []take.Take) {
	for _, d := range r.Days {
		all = append(all, d.Takes...)
	}
	return all
}

func sameDay(a, b time.Time) bool {
	ay, am, ad := a.Date()
	by, bm, bd := b.Date()
	return ay == by && am == bm && ad == bd
}
