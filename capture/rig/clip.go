package rig

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/wavfile"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/find"
	"rollready/dsp/lineup/sequence"
)

// MeasureClip opens a camera's clip of the line-up sequence and measures it;
// its errors name the clip. track counts from 1. It takes as long as the clip is.
func MeasureClip(ctx context.Context, path string, track int) (lineup.Result, error) {
	clip, err := recording.OpenSound(ctx, path, track)
	if err != nil {
		return lineup.Result{}, err
	}
	defer clip.Close()
	result, err := readClip(clip)
	var refusal *find.Refusal
	switch {
	case errors.As(err, &refusal):
		err = fmt.Errorf("%s can't be used: %w", path, err)
	case err != nil:
		err = fmt.Errorf("%s: %w", path, err)
	}
	return result, err
}

// readClip finds the sequence in a clip and measures it. The file is read
// twice, so that a long one need not fit into memory.
func readClip(r recording.Reader) (lineup.Result, error) {
	f := r.Format()
	if f.RateHz < lineup.MinRateHz || f.RateHz > lineup.MaxRateHz || f.Channels > lineup.MaxChannels {
		return lineup.Result{}, fmt.Errorf("%d Hz and %d channels: a clip has %d to %d Hz and at most %d channels", f.RateHz, f.Channels, lineup.MinRateHz, lineup.MaxRateHz, lineup.MaxChannels)
	}
	finder := find.New(f.RateHz, f.Channels)
	block := make([]float32, 8192*f.Channels)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return lineup.Result{}, err
		}
		finder.Process(block[:n*f.Channels])
	}
	place, err := finder.Find()
	if err != nil {
		return lineup.Result{}, err
	}
	part, place, err := readPart(r, place)
	if err != nil {
		return lineup.Result{}, err
	}
	return lineup.Measure(part, f.RateHz, f.Channels, place)
}

// readPart reads the stretch of the sequence, and gives its place in that.
func readPart(r recording.Reader, place find.Place) ([]float32, find.Place, error) {
	f := r.Format()
	from := max(0, int64((place.StartSeconds-1)*float64(f.RateHz)))
	to := max(from, int64((place.EndSeconds+2)*float64(f.RateHz)))
	if err := r.SeekTo(from); err != nil {
		return nil, place, err
	}
	part := make([]float32, int(to-from)*f.Channels)
	got := 0
	for got < len(part) {
		n, err := r.Read(part[got:])
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, place, err
		}
		got += n * f.Channels
	}
	before := float64(from) / float64(f.RateHz)
	return part[:got], find.Place{StartSeconds: place.StartSeconds - before, EndSeconds: place.EndSeconds - before}, nil
}

// WriteSequence writes the line-up sequence to a stereo WAV file, which appears
// at once and whole. Where there is one it fails with fs.ErrExist, unless it is
// to be replaced.
func WriteSequence(path string, rateHz int, replace bool) error {
	create := wavfile.Create
	if replace {
		create = wavfile.Replace
	}
	w, err := create(path, capture.Format{RateHz: rateHz, Channels: 2}, wavfile.PCM24)
	if err != nil {
		return err
	}
	player := sequence.NewPlayer(rateHz, 2)
	block := make([]float32, 2*4096)
	for n := player.Read(block); n > 0; n = player.Read(block) {
		if err := w.Write(block[:2*n]); err != nil {
			w.Abort()
			return err
		}
	}
	return w.Close()
}
