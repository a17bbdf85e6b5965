package recording

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/track"
	"rollready/capture/wavfile"
)

// flacReader reads FLAC frame by frame.
type flacReader struct {
	file   *os.File
	stream *flac.Stream
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
	r := &flacReader{file: f}
	if err := r.rewind(); err != nil {
		_ = f.Close()
		return nil, fmt.Errorf("open %s: damaged FLAC: %w", path, err)
	}
	return r, nil
}

// rewind begins anew.
func (r *flacReader) rewind() error {
	if _, err := r.file.Seek(0, io.SeekStart); err != nil {
		return err
	}
	stream, err := flac.New(r.file)
	if err != nil {
		return err
	}
	info := stream.Info
	if info.SampleRate == 0 || info.NChannels == 0 || info.BitsPerSample < 4 || info.BitsPerSample > 32 {
		return errors.New("no usable format in its header")
	}
	*r = flacReader{file: r.file, stream: stream}
	return nil
}

func (r *flacReader) Format() capture.Format {
	return capture.Format{RateHz: int(r.stream.Info.SampleRate), Channels: int(r.stream.Info.NChannels)}
}

func (r *flacReader) Frames() int64 { return int64(r.stream.Info.NSamples) }

func (r *flacReader) Truncated() bool { return r.err != nil && r.read < r.Frames() }

func (r *flacReader) Encoding() wavfile.Encoding {
	switch bits := r.stream.Info.BitsPerSample; {
	case bits <= 16:
		return wavfile.PCM16
	case bits <= 24:
		return wavfile.PCM24
	}
	return wavfile.PCM32
}

func (r *flacReader) Tracks() []track.Track { return track.Named(nil, r.Format().Channels) }

func (r *flacReader) Tags() []riff.Chunk { return nil }

// Read takes a damaged frame for the end; Truncated then tells.
func (r *flacReader) Read(block []float32) (int, error) { return readFLAC(r, block) }

// Read64 does too.
func (r *flacReader) Read64(block []float64) (int, error) { return readFLAC(r, block) }

func readFLAC[T float32 | float64](r *flacReader, block []T) (frames int, err error) {
	channels := r.Format().Channels
	for want := len(block) / channels; frames < want && r.next(); {
		n := min(want-frames, len(r.frame.Subframes[0].Samples)-r.at)
		deinterleave(r, block[frames*channels:(frames+n)*channels], channels)
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

func deinterleave[T float32 | float64](r *flacReader, dst []T, channels int) {
	scale := 1 / T(uint64(1)<<(r.stream.Info.BitsPerSample-1))
	for c := range channels {
		samples := r.frame.Subframes[c].Samples[r.at:]
		for i := range len(dst) / channels {
			dst[i*channels+c] = T(samples[i]) * scale
		}
	}
}

// SeekTo goes on from the frame at hand, or from the start.
func (r *flacReader) SeekTo(frame int64) error {
	if frame < r.read {
		if err := r.rewind(); err != nil {
			return err
		}
	}
	for r.read < frame {
		if !r.next() {
			return fmt.Errorf("seek to frame %d: the file has %d", frame, r.read)
		}
		n := min(frame-r.read, int64(len(r.frame.Subframes[0].Samples)-r.at))
		r.at, r.read = r.at+int(n), r.read+n
	}
	return nil
}

func (r *flacReader) Close() error { return r.file.Close() }
