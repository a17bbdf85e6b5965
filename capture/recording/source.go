package recording

import (
	"context"
	"errors"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/pace"
)

// Source plays a recording as if it were a device.
type Source struct {
	*pace.Player
	reader Reader
	name   string
}

var _ capture.Source = (*Source)(nil)

// NewSource opens a recording. Paced, it plays in real time, else as fast as
// deliver takes the blocks.
func NewSource(ctx context.Context, path string, paced bool) (*Source, error) {
	r, err := Open(ctx, path)
	if err != nil {
		return nil, err
	}
	return &Source{Player: pace.New(r.Format(), paced, r.Read), reader: r, name: filepath.Base(path)}, nil
}

// Name is the file's name without its folder.
func (s *Source) Name() string { return s.name }

// Kind is capture.File.
func (s *Source) Kind() capture.Kind { return capture.File }

// Reader is the recording itself, for its length and tags. Its frames belong
// to the source.
func (s *Source) Reader() Reader { return s.reader }

// Close stops the playing and closes the file.
func (s *Source) Close() error { return errors.Join(s.Player.Close(), s.reader.Close()) }
