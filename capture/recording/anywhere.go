package recording

import (
	"errors"
	"io"

	"rollready/capture"
)

// Anywhere reads a recording from any place. One goroutine uses it.
type Anywhere struct {
	Reader
	frames int64 // of the recording
	at     int64
	block  []float32
}

// NewAnywhere reads a recording of so many frames from anywhere. Closing it
// closes the recording.
func NewAnywhere(r Reader, frames int64) *Anywhere {
	return &Anywhere{Reader: r, frames: frames, at: -1}
}

// From fills dst with whole frames from one on, which may be negative; silence
// outside the recording and for what is no number.
func (s *Anywhere) From(dst []float32, from int64) error {
	channels := s.Format().Channels
	clear(dst)
	if from < 0 {
		before := min(-from, int64(len(dst)/channels))
		dst, from = dst[before*int64(channels):], from+before
	}
	if len(dst) == 0 || from >= s.frames {
		return nil
	}
	if from != s.at {
		if err := s.SeekTo(from); err != nil {
			return err
		}
	}
	n, err := s.Read(dst)
	s.at = from + int64(n)
	if err != nil && !errors.Is(err, io.EOF) {
		s.at = -1
		return err
	}
	capture.Sanitise(dst)
	return nil
}

// Channel gives the samples of one channel, as From does.
func (s *Anywhere) Channel(c int) func(dst []float32, from int64) error {
	channels := s.Format().Channels
	return func(dst []float32, from int64) error {
		if n := len(dst) * channels; cap(s.block) < n {
			s.block = make([]float32, n)
		}
		block := s.block[:len(dst)*channels]
		if err := s.From(block, from); err != nil {
			return err
		}
		for i := range dst {
			dst[i] = block[i*channels+c]
		}
		return nil
	}
}
