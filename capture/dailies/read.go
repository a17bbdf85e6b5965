package dailies

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"

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

// open opens a recording for reading from anywhere.
func open(ctx context.Context, r Recording) (*recording.Anywhere, error) {
	reader, err := recording.Open(ctx, r.Path)
	if err != nil {
		return nil, err
	}
	if f := reader.Format(); f.RateHz != r.RateHz || f.Channels != r.Channels {
		return nil, errors.Join(fmt.Errorf("%s changed meanwhile: run it again", r.Path), reader.Close())
	}
	return recording.NewAnywhere(reader, r.Frames), nil
}

// waves gives the waves of the liveliest channel.
func (r Recording) waves(s *recording.Anywhere) *match.Waves {
	return match.NewWaves(r.RateHz, s.Channel(min(r.Channel, s.Format().Channels-1)))
}

// number of a take for a file name.
func (r Recording) number() string {
	if n, err := strconv.Atoi(r.Take); err == nil && n > 0 {
		return fmt.Sprintf("%03d", n)
	}
	return r.Take
}
