package wavfile

import (
	"errors"
	"io"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/pace"
)

// Source plays a file as if it were a device.
type Source struct {
	*pace.Player
	reader *Reader
	name   string
	loop   bool
}

var _ capture.Source = (*Source)(nil)

// NewSource opens a file. Paced, it plays in real time, else as fast as
// deliver takes the blocks.
func NewSource(path string, paced bool) (*Source, error) {
	r, err := Open(path)
	if err != nil {
		return nil, err
	}
	s := &Source{reader: r, name: filepath.Base(path)}
	s.Player = pace.New(r.Format(), paced, s.fill)
	return s, nil
}

// Loop makes the file begin anew at its end. Call it before Start.
func (s *Source) Loop() { s.loop = true }

// Name is the file's name without its folder.
func (s *Source) Name() string { return s.name }

// Kind is capture.File.
func (s *Source) Kind() capture.Kind { return capture.File }

// Reader is the file itself, for its length and chunks. Its frames belong to
// the source.
func (s *Source) Reader() *Reader { return s.reader }

func (s *Source) fill(block []float32) (int, error) {
	n, err := s.reader.Read(block)
	if s.loop && errors.Is(err, io.EOF) && s.reader.Frames() > 0 {
		if err := s.reader.SeekTo(0); err != nil {
			return 0, err
		}
		return s.reader.Read(block)
	}
	return n, err
}

// Close stops the playing and closes the file.
func (s *Source) Close() error {
	_ = s.Player.Close()
	return s.reader.Close()
}
