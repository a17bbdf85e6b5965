package media

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"

	"rollready/capture"
)

// flacReader reads FLAC frame by frame.
type flacReader struct {
	file   *os.File
	stream *flac.Stream
	scale  float32
	frame  *frame.Frame
	at     int // next sample of frame
	read   int64
	err    error
}

func openFLAC(path string) (Reader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	stream, err := newStream(f)
	if err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("open %s: damaged FLAC: %w", path, err)
	}
	bits := stream.Info.BitsPerSample
	return &flacReader{file: f, stream: stream, scale: 1 / float32(uint64(1)<<(bits-1))}, nil
}

func newStream(r io.Reader) (*flac.Stream, error) {
	stream, err := flac.New(r)
	if err != nil {
		return nil, err
	}
	info := stream.Info
	if info.SampleRate == 0 || info.NChannels == 0 || info.BitsPerSample < 4 || info.BitsPerSample > 32 {
		return nil, errors.New("no usable format in its header")
	}
	return stream, nil
}

func (r *flacReader) Format() capture.Format {
	return capture.Format{RateHz: int(r.stream.Info.SampleRate), Channels: int(r.stream.Info.NChannels)}
}

func (r *flacReader) Frames() int64 { return int64(r.stream.Info.NSamples) }

func (r *flacReader) Truncated() bool { return r.err != nil && r.read < r.Frames() }

// Read takes a damaged frame for the end; Truncated then tells.
func (r *flacReader) Read(block []float32) (int, error) {
	channels := r.Format().Channels
	frames := 0
	for want := len(block) / channels; frames < want && r.next(); {
		n := min(want-frames, len(r.frame.Subframes[0].Samples)-r.at)
		r.copy(block[frames*channels:(frames+n)*channels], channels)
		frames, r.at, r.read = frames+n, r.at+n, r.read+int64(n)
	}
	if frames == 0 && len(block) >= channels {
		return 0, io.EOF
	}
	return frames, nil
}

// next makes sure that a frame with samples left is there.
func (r *flacReader) next() bool {
	for r.err == nil && (r.frame == nil || r.at == len(r.frame.Subframes[0].Samples)) {
		r.frame, r.err = r.stream.ParseNext()
		r.at = 0
		if r.err == nil && len(r.frame.Subframes) != r.Format().Channels {
			r.err = errors.New("the number of channels changes")
		}
	}
	return r.err == nil
}

func (r *flacReader) copy(dst []float32, channels int) {
	for c := range channels {
		samples := r.frame.Subframes[c].Samples[r.at:]
		for i := range len(dst) / channels {
			dst[i*channels+c] = float32(samples[i]) * r.scale
		}
	}
}

func (r *flacReader) Close() error { return r.file.Close() }
