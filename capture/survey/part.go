package survey

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/track"
)

// span is a part of a recording in frames; the zero span is all of it.
type span struct{ from, frames int64 }

// window is a stage that gets only a span.
type window struct {
	stage
	skip, left int64 // samples
}

func (w *window) process(block []float32) {
	n := min(w.skip, int64(len(block)))
	w.skip -= n
	block = block[n:]
	n = min(w.left, int64(len(block)))
	w.left -= n
	if n > 0 {
		w.stage.process(block[:n])
	}
}

// File measures one recording. progress is told the share read so far, 0 … 1;
// nil if nobody wants to know. The error is one line that names the file.
func File(ctx context.Context, path string, progress func(share float64)) (Result, error) {
	results, err := measure(ctx, path, progress, New, span{})
	if err != nil {
		return Result{}, err
	}
	return results[0], nil
}

// measure measures spans of a recording, each by a meter of its own, in one
// pass.
func measure(ctx context.Context, path string, progress func(share float64), meter func(capture.Format, []track.Track) *Meter, spans ...span) ([]Result, error) {
	r, err := recording.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	all, found := max(1, r.Frames()), finite{}
	if progress == nil {
		progress = func(float64) {}
	}
	tracks := tracksIn(r, path)
	meters := make([]*Meter, len(spans))
	var stages []stage
	for i, s := range spans {
		meters[i] = meter(r.Format(), tracks)
		stages = append(stages, s.of(meters[i])...)
	}
	frames, err := pipe(ctx, clean{r, &found}, stages, func(frames int64) { progress(min(1, float64(frames)/float64(all))) })
	if err == nil && frames == 0 {
		err = errors.New("there is no sound in it")
	}
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", path, err)
	}
	results := make([]Result, len(spans))
	for i, s := range spans {
		meters[i].finite = s.finite(found)
		results[i] = meters[i].Result()
		results[i].Path, results[i].Truncated = path, r.Truncated()
	}
	return results, nil
}

// tracksIn gives the tracks of a recording by what it says of itself, else by
// its sheet.
func tracksIn(r recording.Reader, path string) []track.Track {
	tracks := r.Tracks()
	if slices.ContainsFunc(tracks, func(t track.Track) bool { return t.Name != "" }) {
		return tracks
	}
	return track.Beside(path, len(tracks))
}

// of gives the stages of a meter, which get only the span.
func (s span) of(m *Meter) []stage {
	stages := m.stages()
	if s == (span{}) {
		return stages
	}
	n := int64(m.format.Channels)
	for i := range stages {
		stages[i] = &window{stage: stages[i], skip: s.from * n, left: s.frames * n}
	}
	return stages
}

// finite is what was found of samples that are not finite; of a part only its
// length.
func (s span) finite(all finite) finite {
	if s == (span{}) {
		return all
	}
	return finite{frames: max(0, min(s.frames, all.frames-s.from))}
}
