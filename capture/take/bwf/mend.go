package bwf

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"strings"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// Mended is what Mend found and did. A plain value.
type Mended struct {
	Frames int64  // now
	Before int64  // that the header spoke of
	What   string // what was done, in words; "" if the file was whole
}

// medium is what mending needs of a file.
type medium interface {
	io.ReaderAt
	File
}

// Mend puts right a file that was torn while it was written: the header then
// speaks of every whole frame that is there, and markers, kept beside the
// file, are appended where they are missing. A whole file, and so one that
// was mended, is not touched.
//
// unfinished says that the take was never ended properly, so that bytes the
// header does not speak of are sound. Without it only files of our own making
// are lengthened: other programs may have put something else there.
func Mend(path string, unfinished bool, markers []Marker) (done Mended, err error) {
	err = locked(path, func(f *os.File, size int64) error {
		info, err := ReadFrom(f, size)
		if err == nil {
			done, err = info.mend(f, unfinished, markers)
		}
		return err
	})
	return done, err
}

// locked does something to a file that nobody else writes.
func locked(path string, do func(f *os.File, size int64) error) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	stat, errStat := f.Stat()
	if err := errors.Join(lock(f), errStat); err != nil {
		return err
	}
	return errors.Join(do(f, stat.Size()), f.Close())
}

// Ours tells whether this program made the file.
func (i Info) Ours() bool { return i.Bext != nil && i.Bext.Originator == Originator }

// mend mends until nothing is left to mend: a header that was put right can
// show what was hidden behind it.
func (i Info) mend(f medium, unfinished bool, markers []Marker) (Mended, error) {
	done := Mended{Frames: i.Frames, Before: i.layout.Data.Declared / i.places.FrameBytes}
	for range 3 {
		p := i.planOther()
		if unfinished || i.Ours() {
			p = i.planOurs(f, len(markers) > 0)
		}
		if p.what == "" {
			break
		}
		done.What = cmp.Or(done.What, p.what)
		size, err := i.carryOut(f, p, markers)
		if err == nil {
			i, err = ReadFrom(f, size)
		}
		if err != nil {
			return done, err
		}
		done.Frames = i.Frames
	}
	return done, nil
}

// plan is what must change: how long data is, where the last chunk ends.
type plan struct {
	bytes int64  // of samples
	end   int64  // of the last chunk to keep; 0 if the markers are written anew
	what  string // "" if nothing must change
}

const (
	promisedSound = "the header promised more sound than there is"
	promisedMore  = "the header promised more than there is"
	knewLess      = "the header knew less sound than there is"
	knewNoMarkers = "the header did not know the markers"
	tornMarkers   = "the markers were torn"
)

// planOurs holds a file that we wrote against what we write: samples, and then
// nothing or whole chunks up to the end. What else follows the samples that
// the header knows of is sound, unless our chunks begin there.
func (i Info) planOurs(f io.ReaderAt, kept bool) plan {
	data, size := i.layout.Data, i.layout.Size
	rest := size - data.At
	all := rest - rest%i.places.FrameBytes
	padded := data.At + data.Declared + data.Declared%2
	tail := i.tail()
	switch half := min(rest, i.layout.Promised()); {
	case half > data.Declared: // caught half-way to RF64
		return plan{bytes: half, end: size, what: knewLess}
	case data.Declared > rest:
		return plan{bytes: all, what: promisedSound}
	case tail == size && i.layout.End == size, tail > padded && tail == i.layout.End:
		return plan{}
	case tail == size && tail > padded && tail > i.layout.End && (!kept || i.layout.Payload("adtl") != nil):
		return plan{bytes: data.Declared, end: tail, what: knewNoMarkers}
	case tail == size && tail <= padded: // nothing behind the samples, or not even the pad byte
		return plan{bytes: data.Declared, what: promisedMore}
	case tail == padded && !marks(f, padded):
		return plan{bytes: all, what: knewLess}
	case kept || tail == padded:
		return plan{bytes: data.Declared, what: tornMarkers}
	}
	return plan{bytes: data.Declared, end: tail, what: tornMarkers}
}

// planOther lets others' files be, but for what keeps their sound from being
// found.
func (i Info) planOther() plan {
	data, size := i.layout.Data, i.layout.Size
	rest := size - data.At
	all := rest - rest%i.places.FrameBytes
	switch tail := i.tail(); {
	case data.Declared > rest:
		return plan{bytes: all, what: promisedSound}
	case data.Size > data.Declared: // its writer never came to fill in the size
		return plan{bytes: all, what: knewLess}
	case i.layout.End > size:
		return plan{bytes: data.Declared, end: size, what: promisedMore}
	case tail == size && tail > i.layout.End:
		return plan{bytes: data.Declared, end: size, what: knewNoMarkers}
	}
	return plan{}
}

// tail is the end of the last whole chunk behind the samples; of the samples
// with their pad byte, if it is there, where none follows.
func (i Info) tail() int64 {
	data := i.layout.Data
	end := min(data.At+data.Declared+data.Declared%2, i.layout.Size)
	for _, s := range i.layout.Chunks {
		if s.At > data.At && !s.Torn() {
			end = min(s.At+s.Size+s.Size%2, i.layout.Size)
		}
	}
	return end
}

// marks tells whether our chunks of markers begin here, whole or not.
func marks(f io.ReaderAt, at int64) bool {
	var id [4]byte
	n, _ := f.ReadAt(id[:], at)
	return n > 0 && string(id[:n]) == "cue "[:n]
}

// carryOut first puts the bytes right, then syncs, then patches the sizes.
// It gives the size of the file.
func (i Info) carryOut(f medium, p plan, markers []Marker) (size int64, err error) {
	if end := i.layout.Data.At + p.bytes; p.end == 0 {
		tail := appendMarkers(make([]byte, p.bytes%2), markers)
		if err := f.Truncate(end); err != nil {
			return 0, err
		}
		if _, err := f.WriteAt(tail, end); err != nil {
			return 0, fmt.Errorf("write the markers: %w", err)
		}
		p.end = end + int64(len(tail))
	} else if err := f.Truncate(p.end); err != nil {
		return 0, err
	}
	if err := f.Sync(); err != nil {
		return 0, err
	}
	return p.end, errors.Join(i.places.Patch(f, p.bytes, p.end), f.Sync())
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
	return locked(path, func(f *os.File, size int64) error {
		info, err := ReadFrom(f, size)
		if err != nil || !info.Ours() {
			return err
		}
		return errors.Join(tagsOf(&info.layout).update(f, m, info.Format, info.Encoding), f.Sync())
	})
}

// headBytes bounds where the samples of a file of ours begin.
const headBytes = 64 << 10

// Rebuild writes everything before the samples anew, of what is known of them,
// where a file's own head can't be trusted. The samples, and what the file
// says of their length, are not touched: Mend it afterwards. ErrNoSound where
// the samples can't be found.
func Rebuild(path string, m Meta, f capture.Format, e wavfile.Encoding) error {
	return locked(path, func(file *os.File, _ int64) error {
		raw := make([]byte, headBytes)
		n, _ := io.ReadFull(file, raw)
		head := rebuilt(raw[:n], m, f, e)
		if head == nil {
			return ErrNoSound
		}
		_, err := file.WriteAt(head, 0)
		return errors.Join(err, file.Sync())
	})
}

// rebuilt is the new head up to the size of data, nil where the header of data
// is not found.
func rebuilt(raw []byte, m Meta, f capture.Format, e wavfile.Encoding) []byte {
	for at := range dataPlaces(raw, wavfile.FactChunk(f, e) != nil) {
		if head := newHead(m, f, e, at+8); head != nil {
			return head[:at+4]
		}
	}
	return nil
}

// dataPlaces are where the header of data may lie in a head of ours: behind the
// spaces that end iXML, and behind fact. Other files that hold the word have no
// such spaces before it.
func dataPlaces(raw []byte, fact bool) iter.Seq[int] {
	before := strings.Repeat(" ", 32)
	back := len(before)
	if fact {
		before += "fact\x04\x00\x00\x00"
		back = len(before) + 4
	}
	return func(yield func(int) bool) {
		for at := 0; ; at++ {
			next := bytes.Index(raw[at:], []byte("data"))
			if next < 0 {
				return
			}
			at += next
			if at >= back && at+8 <= len(raw) && bytes.HasPrefix(raw[at-back:], []byte(before)) && !yield(at) {
				return
			}
		}
	}
}

// Headless gives how many bytes follow the place where the samples of a file of
// ours began, whatever became of its head; 0 where there is no such place.
func Headless(path string) (bytes int64) {
	f, err := os.Open(path)
	if err != nil {
		return 0
	}
	defer f.Close()
	stat, err := f.Stat()
	if err != nil {
		return 0
	}
	raw := make([]byte, headBytes)
	n, _ := io.ReadFull(f, raw)
	for _, fact := range []bool{false, true} {
		for at := range dataPlaces(raw[:n], fact) {
			return stat.Size() - int64(at) - 8
		}
	}
	return 0
}
