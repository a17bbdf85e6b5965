package take

import (
	"errors"
	"io"
	"math"
	"strings"

	"rollready/capture/wavfile"
	"rollready/dsp"
	"rollready/dsp/camera"
)

// measureFile measures a recorded take as the recorder would have. Without
// input tracks the input's figures are NaN.
func measureFile(t Take) (Levels, Picture, error) {
	r, err := wavfile.Open(t.Path)
	if err != nil {
		return noLevels(), Picture{}, err
	}
	defer r.Close()
	tracks := r.Format().Channels
	out := tracksNamed(t.Tracks, "processed", tracks)
	in := tracksNamed(t.Tracks, "input", tracks)
	if len(out) == 0 {
		out = []int{0}
	}
	raw := len(in) == len(out)
	if !raw {
		in = out
	}
	m := newMeasure(r.Format().RateHz, len(out), camera.Scale{OffsetDB: t.OffsetDB})
	if err := measureAll(r, m, append(append([]int{}, out...), in...), tracks); err != nil {
		return noLevels(), Picture{}, err
	}
	l := m.levels()
	if !raw {
		l.InputPeakDBTP = math.NaN()
	}
	return l, m.picture(), nil
}

// tracksNamed gives the channels whose names begin so, at most two.
func tracksNamed(names []string, begin string, channels int) (found []int) {
	for i, name := range names {
		if i < channels && strings.HasPrefix(name, begin) && len(found) < dsp.MaxChannels {
			found = append(found, i)
		}
	}
	return found
}

func measureAll(r *wavfile.Reader, m *measure, from []int, tracks int) error {
	block := make([]float32, 2048*tracks)
	var frames []float32
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		frames = frames[:0]
		for i := range n {
			for _, c := range from {
				frames = append(frames, block[i*tracks+c])
			}
		}
		m.process(frames)
	}
}
