package bwf

import (
	"errors"
	"fmt"
	"os"
)

// Mended is what Mend found and did. A plain value.
type Mended struct {
	Frames int64  // now
	Before int64  // that the header spoke of
	What   string // what was done, in words; "" if the file was whole
}

// Mend puts right a file that was torn while it was written: the header then
// speaks of every whole frame that is there, and markers, kept beside the
// file, are appended where they are missing. A whole file is not touched.
//
// unfinished says that the take was never ended properly, so that bytes the
// header does not speak of are sound. Without it only files of our own making
// are lengthened: other programs may have put something else there.
func Mend(path string, unfinished bool, markers []Marker) (Mended, error) {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return Mended{}, err
	}
	defer f.Close()
	if err := lock(f); err != nil {
		return Mended{}, err
	}
	stat, err := f.Stat()
	if err != nil {
		return Mended{}, err
	}
	info, err := ReadFrom(f, stat.Size())
	if err != nil {
		return Mended{}, err
	}
	plan := info.plan(f, unfinished || info.Ours(), len(markers) > 0)
	done := Mended{Frames: plan.bytes / info.at.frameBytes, Before: info.declared / info.at.frameBytes, What: plan.what}
	if plan.what == "" {
		return done, nil
	}
	return done, errors.Join(info.carryOut(f, plan, markers), f.Close())
}

// Ours tells whether this program made the file.
func (i Info) Ours() bool { return i.Bext != nil && i.Bext.Originator == Originator }

// plan is what must change: how long data is, where the last chunk ends.
type plan struct {
	bytes int64  // of samples
	end   int64  // of the last chunk to keep
	what  string // "" if nothing must change
}

func (i Info) plan(f *os.File, rolling, kept bool) plan {
	rest := i.size - i.at.dataAt
	all := rest - rest%i.at.frameBytes
	padded := i.at.dataAt + i.declared + i.declared%2
	silent := i.riffEnd <= padded || i.declared == 0 // about what follows data
	torn := i.riffEnd > i.size || i.tailEnd < min(i.size, i.riffEnd) || i.markersBegin(f, i.tailEnd)
	switch {
	case rolling && i.promised > i.declared: // caught half-way to RF64
		return i.only(min(all, i.promised), "the header knew less sound than there is")
	case i.declared > rest:
		return i.only(all, "the header promised more sound than there is")
	case i.size > padded && silent && (rolling || i.declared == 0) && !i.markersBegin(f, padded):
		return i.only(all, "the header knew less sound than there is")
	case rolling && torn && (kept || i.tailEnd <= padded):
		return i.only(i.declared, "the markers were torn")
	case rolling && torn:
		return plan{bytes: i.declared, end: i.tailEnd, what: "the markers were torn"}
	case i.riffEnd > i.size:
		return plan{bytes: i.declared, end: i.size, what: "the header promised more than there is"}
	case i.tailEnd > padded && i.tailEnd == i.size && i.riffEnd < i.size:
		return plan{bytes: i.declared, end: i.tailEnd, what: "the header did not know the markers"}
	}
	return plan{bytes: i.declared}
}

// only keeps so many bytes of samples and nothing behind them.
func (i Info) only(bytes int64, what string) plan {
	return plan{bytes: bytes, end: i.at.dataAt + bytes + bytes%2, what: what}
}

// markersBegin tells whether our chunks behind data begin here, whole or not.
func (i Info) markersBegin(f *os.File, at int64) bool {
	var id [4]byte
	n, _ := f.ReadAt(id[:], at)
	return n > 0 && at >= i.at.dataAt+i.declared && string(id[:n]) == "cue "[:n]
}

// carryOut first puts the bytes right, then syncs, then patches the sizes.
func (i Info) carryOut(f *os.File, p plan, markers []Marker) error {
	end := i.at.dataAt + p.bytes
	if p.end <= end+p.bytes%2 { // no chunk to keep: what lies there is a torn one or part of a frame
		tail := appendMarkers(make([]byte, p.bytes%2), markers)
		if err := f.Truncate(end); err != nil {
			return err
		}
		if _, err := f.WriteAt(tail, end); err != nil {
			return fmt.Errorf("write the markers: %w", err)
		}
		p.end = end + int64(len(tail))
	} else if err := f.Truncate(p.end); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return errors.Join(i.at.patch(f, p.bytes, p.end), f.Sync())
}

// Busy tells whether another Writer, in this program or another, has the file.
func Busy(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	return errors.Is(lock(f), ErrBusy)
}

// Amend brings scene, take, note and the like up to date in a finished file,
// in place and without touching a sample. Fields without room are cut; a file
// without bext or iXML keeps none.
func Amend(path string, m Meta) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := lock(f); err != nil {
		return err
	}
	stat, err := f.Stat()
	if err != nil {
		return err
	}
	info, err := ReadFrom(f, stat.Size())
	if err != nil || !info.Ours() {
		return err
	}
	w := Writer{file: f, format: info.Format, encoding: info.Encoding, bextAt: info.bextAt, ixmlAt: info.ixmlAt, ixmlBytes: info.ixmlSize}
	if info.ixmlAt == 0 {
		w.ixmlBytes = -1
	}
	return errors.Join(w.writeMeta(m), f.Sync(), f.Close())
}
