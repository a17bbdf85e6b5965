package dailies

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/take/bwf"
	"rollready/dsp/match"
)

const readFrames = 4096

// kept is what is kept of a recording.
type kept struct {
	Recording Recording   `json:"recording"`
	Print     match.Print `json:"print"`
}

// measure gives what is kept of a recording, reading it whole where nothing is.
func measure(ctx context.Context, s shelf, path string, progress func(frames int64)) (kept, error) {
	key, info, err := keyOf(path)
	if err != nil {
		return kept{}, err
	}
	var k kept
	if s.load(key, "print", &k) && (k.Recording.RateHz > 0 || k.Recording.Picture.Mute) {
		k.Recording.Path = path
		progress(k.Recording.Frames)
		return k, nil
	}
	picture, err := probe(ctx, path)
	if err != nil {
		return kept{}, err
	}
	k.Recording = Recording{Path: path, Key: key, Changed: info.ModTime(), Bits: 24, Picture: picture}
	if picture.Mute {
		return k, s.save(key, "print", k)
	}
	r, err := recording.Open(ctx, path)
	if err != nil {
		return kept{}, err
	}
	defer r.Close()
	k.Recording.RateHz, k.Recording.Channels = r.Format().RateHz, r.Format().Channels
	k.Recording.describe(r)
	if k.Print, k.Recording.Frames, err = printOf(ctx, r, progress); err != nil {
		return kept{}, fmt.Errorf("read %s: %w", path, err)
	}
	k.Recording.Channel = k.Print.Channel
	return k, s.save(key, "print", k)
}

// describe adds what the chunks of a Broadcast Wave say.
func (r *Recording) describe(from recording.Reader) {
	r.Tracks = from.Tracks()
	if e := from.Encoding(); e.IsFloat() || e.Bytes() > 3 {
		r.Bits = 32
	}
	if info, err := bwf.Read(r.Path); err == nil {
		r.Scene, r.Take, r.Started = info.Meta.Scene, info.Meta.Take, info.Meta.Started
	}
}

func printOf(ctx context.Context, r recording.Reader, progress func(frames int64)) (match.Print, int64, error) {
	format := r.Format()
	printer := match.NewPrinter(format.RateHz, format.Channels)
	block := make([]float32, readFrames*format.Channels)
	var frames int64
	for {
		if err := ctx.Err(); err != nil {
			return match.Print{}, 0, err
		}
		n, err := r.Read(block)
		printer.Process(block[:n*format.Channels])
		frames += int64(n)
		progress(int64(n))
		if errors.Is(err, io.EOF) {
			return printer.Print(), frames, nil
		}
		if err != nil {
			return match.Print{}, 0, err
		}
	}
}

// stretch reads any stretch of a recording. One goroutine uses it.
type stretch struct {
	r      recording.Reader
	frames int64 // of the recording
	at     int64
	block  []float32
}

// open opens a recording for reading from anywhere.
func open(ctx context.Context, r Recording) (*stretch, error) {
	reader, err := recording.Open(ctx, r.Path)
	if err != nil {
		return nil, err
	}
	if f := reader.Format(); f.RateHz != r.RateHz || f.Channels != r.Channels {
		return nil, errors.Join(fmt.Errorf("%s changed meanwhile: run it again", r.Path), reader.Close())
	}
	return &stretch{r: reader, frames: r.Frames}, nil
}

// Close closes the recording.
func (s *stretch) Close() error { return s.r.Close() }

// read fills dst with whole frames from one on, which may be negative; silence
// outside the recording and for what is no number.
func (s *stretch) read(dst []float32, from int64) error {
	channels := s.r.Format().Channels
	clear(dst)
	if from < 0 {
		before := min(-from, int64(len(dst)/channels))
		dst, from = dst[before*int64(channels):], from+before
	}
	if len(dst) == 0 || from >= s.frames {
		return nil
	}
	if from != s.at {
		if err := s.r.SeekTo(from); err != nil {
			return err
		}
	}
	n, err := s.r.Read(dst)
	s.at = from + int64(n)
	if err != nil && !errors.Is(err, io.EOF) {
		s.at = -1
		return err
	}
	capture.Sanitise(dst)
	return nil
}

// channel gives the samples of one channel.
func (s *stretch) channel(c int) match.Frames {
	channels := s.r.Format().Channels
	return func(dst []float32, from int64) error {
		if n := len(dst) * channels; cap(s.block) < n {
			s.block = make([]float32, n)
		}
		block := s.block[:len(dst)*channels]
		if err := s.read(block, from); err != nil {
			return err
		}
		for i := range dst {
			dst[i] = block[i*channels+c]
		}
		return nil
	}
}

// waves gives the waves of the liveliest channel.
func (s *stretch) waves(r Recording) *match.Waves {
	return match.NewWaves(r.RateHz, s.channel(min(r.Channel, s.r.Format().Channels-1)))
}

// number of a take for a file name.
func (r Recording) number() string {
	if n, err := strconv.Atoi(r.Take); err == nil && n > 0 {
		return fmt.Sprintf("%03d", n)
	}
	return r.Take
}
