package take

import (
	"context"
	"errors"
	"io"

	"rollready/capture/recording"
	"rollready/capture/track"
	"rollready/capture/wavfile"
)

// measureFile measures and judges a recorded take as the recorder would have.
// What the recorder knew of levels before they were cut stays.
func measureFile(ctx context.Context, t *Take) error {
	r, err := recording.Open(ctx, t.Path)
	if err != nil {
		return err
	}
	defer r.Close()
	channels := r.Format().Channels
	m := newMeasure(r.Format().RateHz, track.Named(t.Tracks, channels), wavfile.Float32) // it is rounded already
	block := make([]float32, 2048*channels)
	for ctx.Err() == nil {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			m.judge(t)
			return nil
		}
		if err != nil {
			return err
		}
		m.process(block[:n*channels])
	}
	return ctx.Err()
}

// Judge measures a take of ours whole where nobody did, and keeps what it
// finds. It reads all of its sound; other takes come back as they are.
func Judge(ctx context.Context, t Take) (Take, error) {
	if word, _ := t.Verdict(); t.Judged || t.Live || t.State != Ended || word == Unknown {
		return t, nil
	}
	if err := measureFile(ctx, &t); err != nil {
		return t, err
	}
	now, err := Load(t.Path) // a note may have come meanwhile
	if err != nil {
		return t, err
	}
	now.Judged, now.Findings, now.Levels, now.Picture = true, t.Findings, t.Levels, t.Picture
	return now, Save(now)
}

// JudgeAll does so for the takes of a list, the newest first, until the
// context ends; those left are as they were.
func JudgeAll(ctx context.Context, found []Found) {
	for i := len(found) - 1; i >= 0 && ctx.Err() == nil; i-- {
		if found[i].Err != nil {
			continue
		}
		if t, err := Judge(ctx, found[i].Take); err == nil {
			found[i].Take = t
		}
	}
}
