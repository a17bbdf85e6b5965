package rig

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"rollready/capture/wavfile"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/find"
)

// MeasureClip opens a camera's clip of the line-up sequence and measures it;
// its errors name the clip. track counts from 1. It takes as long as the clip is.
func MeasureClip(ctx context.Context, path string, track int) (lineup.Result, error) {
	clip, done, err := openClip(ctx, path, track)
	if err != nil {
		return lineup.Result{}, err
	}
	defer done()
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
func readClip(r *wavfile.Reader) (lineup.Result, error) {
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
func readPart(r *wavfile.Reader, place find.Place) ([]float32, find.Place, error) {
	f := r.Format()
	from := max(0, int64((place.StartSeconds-1)*float64(f.RateHz)))
	to := min(r.Frames(), int64((place.EndSeconds+2)*float64(f.RateHz)))
	if err := r.SeekTo(from); err != nil {
		return nil, place, err
	}
	part := make([]float32, int(to-from)*f.Channels)
	got := 0
	for got < len(part) {
		n, err := r.Read(part[got:])
		if err != nil {
			return nil, place, err
		}
		got += n * f.Channels
	}
	before := float64(from) / float64(f.RateHz)
	return part, find.Place{StartSeconds: place.StartSeconds - before, EndSeconds: place.EndSeconds - before}, nil
}

// openClip opens a WAV file itself, and the sound of anything else through
// ffmpeg. track counts from 1. close removes what was written on the way.
func openClip(ctx context.Context, path string, track int) (r *wavfile.Reader, close func(), err error) {
	native, err := isWAV(path)
	if err != nil {
		return nil, nil, err
	}
	if native {
		r, err = wavfile.Open(path)
		return r, func() { r.Close() }, err
	}
	dir, err := os.MkdirTemp("", "rollready-clip-")
	if err != nil {
		return nil, nil, err
	}
	sound := filepath.Join(dir, "clip.wav")
	if err := extract(ctx, path, sound, track); err != nil {
		os.RemoveAll(dir)
		return nil, nil, err
	}
	r, err = wavfile.Open(sound)
	if err != nil {
		os.RemoveAll(dir)
		return nil, nil, err
	}
	return r, func() { r.Close(); os.RemoveAll(dir) }, nil
}

func isWAV(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, 12)
	if _, err := io.ReadFull(f, head); err != nil {
		return false, fmt.Errorf("%s holds no clip: it has hardly any bytes, or is no file", path)
	}
	form := string(head[:4])
	return (form == "RIFF" || form == "RF64" || form == "BW64") && string(head[8:]) == "WAVE", nil
}

// extract writes a track of the clip's sound, undone from its codec, to a WAV
// file. "file:" keeps a name from being taken for an address.
func extract(ctx context.Context, path, to string, track int) error {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return fmt.Errorf("%s is no WAV file, and ffmpeg, which could read it, is not installed: install ffmpeg, or save the clip's sound as a WAV file", path)
	}
	absolute, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, program, "-nostdin", "-v", "error", "-i", "file:"+absolute,
		"-map", fmt.Sprintf("0:a:%d", track-1), "-c:a", "pcm_f32le", "-f", "wav", "file:"+to)
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		first, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
		return fmt.Errorf("%s: ffmpeg finds no sound in it: %s: choose a clip with sound, or another --track", path, first)
	}
	return nil
}
