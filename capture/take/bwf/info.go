package bwf

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/wavfile"
)

// ErrBusy means that another program is writing the file.
var ErrBusy = errors.New("another program is writing this file")

// ErrNoSound means that a file ends before its first sample.
var ErrNoSound = errors.New("the file ends before its first sample")

// Info is what a file's chunks say. A plain value.
type Info struct {
	Format   capture.Format
	Encoding wavfile.Encoding
	Frames   int64 // by the header, but no more than exist
	Meta     Meta
	Bext     *Bext // nil if there is none
	Markers  []Marker

	layout riff.Layout
	places riff.Places
}

// Read reads the chunks of a file, not its samples. It reads whatever is
// whole of a torn file; the error says why nothing could be read.
func Read(path string) (Info, error) {
	f, err := os.Open(path)
	if err != nil {
		return Info{}, err
	}
	defer f.Close()
	stat, err := f.Stat()
	if err != nil {
		return Info{}, err
	}
	info, err := ReadFrom(f, stat.Size())
	if err != nil {
		return info, fmt.Errorf("read %s: %w", path, err)
	}
	return info, nil
}

// ReadFrom is Read for a file of so many bytes.
func ReadFrom(f io.ReaderAt, size int64) (Info, error) {
	l, err := riff.Walk(f, size)
	switch {
	case errors.Is(err, riff.ErrNoData) || err != nil && size < 12:
		return Info{}, ErrNoSound
	case err != nil:
		return Info{}, err
	}
	i := Info{layout: l}
	if i.Format, i.Encoding, err = wavfile.FormatOf(&l); err != nil {
		return i, err
	}
	i.places = l.Places(i.Encoding.Bytes() * i.Format.Channels)
	i.Frames = min(l.Data.Declared, l.Data.Size) / i.places.FrameBytes
	i.tags()
	return i, nil
}

// tags reads the chunks about the sound.
func (i *Info) tags() {
	i.Markers = parseMarkers(i.layout.Payload("cue "), i.layout.Payload("adtl"))
	parseIXML(i.layout.Payload("iXML"), &i.Meta)
	if b, ok := parseBext(i.layout.Payload("bext")); ok {
		i.Bext = &b
		i.Meta.Started = b.started(i.Format.RateHz)
	}
}

// started joins the date with the time reference, which is finer than the
// time; zero where the date makes no sense.
func (b Bext) started(rateHz int) time.Time {
	day, err := time.ParseInLocation("2006-01-02", b.Date, time.Local)
	if err != nil || b.TimeReference >= uint64(rateHz)*86400 {
		return time.Time{}
	}
	seconds, rest := b.TimeReference/uint64(rateHz), b.TimeReference%uint64(rateHz)
	y, m, d := day.Date()
	return time.Date(y, m, d, 0, 0, int(seconds), int(rest*uint64(time.Second)/uint64(rateHz)), time.Local)
}
