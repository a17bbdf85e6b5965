package dailies

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/pace"
	"rollready/capture/recording"
	"rollready/dsp/compare"
	"rollready/dsp/match"
	"rollready/dsp/verdict"
)

const matchedS = 60.0 // the loudness of both is compared over so much of them

// Playback plays a take and a clip over it, one of them heard, aligned to the
// frame and equally loud, as if it were a device: one channel, on the clip's
// clock, from where both run to where one ends. A swap crossfades.
type Playback struct {
	*pace.Player
	name   string
	camera *laid
	take   *recording.Anywhere
	follow *follower
	fader  *compare.Fader

	// Of the goroutine that plays.
	channel int // of the clip
	at, end int64
	wide    []float32
	both    [2][]float32 // of the take and the clip
	matcher *compare.Matcher
	gains   [2]float32
}

var _ capture.Source = (*Playback)(nil)

// The sides of a playback.
const (
	HearTake = 0
	HearClip = 1
)

// NewPlayback opens a take and a clip that is noted over it. It waits until
// ffmpeg has read the clip; the context ends that. The clip may be gone with
// its card, which the error says.
func NewPlayback(ctx context.Context, takePath string, p Pair, paced bool) (_ *Playback, err error) {
	if _, err := os.Stat(p.Clip); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s is not there: put its card in again", p.Clip)
	}
	camera, clip, err := openAny(ctx, p.Clip)
	if err != nil {
		return nil, err
	}
	over := Clip{Recording: clip, Parts: []Part{{Fit: match.Fit{Jumps: p.Jumps}}}}
	b := &Playback{name: filepath.Base(takePath) + " and " + filepath.Base(p.Clip), camera: over.layOn(camera), channel: min(p.Channel, clip.Channels-1),
		fader: compare.NewFader(clip.RateHz, 1), matcher: compare.NewMatcher(clip.RateHz, 1, matchedS)}
	b.Player = pace.New(capture.Format{RateHz: clip.RateHz, Channels: 1}, paced, b.fill)
	defer func() {
		if err != nil {
			err = errors.Join(err, b.Close())
		}
	}()
	sound, take, err := openAny(ctx, takePath)
	if err != nil {
		return nil, err
	}
	b.take = sound
	if err := b.equalise(p, take); err != nil {
		return nil, err
	}
	return b, b.begin(p, take)
}

// openAny opens a recording that nothing is known of yet.
func openAny(ctx context.Context, path string) (*recording.Anywhere, Recording, error) {
	reader, err := recording.Open(ctx, path)
	if err != nil {
		return nil, Recording{}, err
	}
	r := Recording{Path: path, RateHz: reader.Format().RateHz, Channels: reader.Format().Channels, Frames: reader.Frames()}
	r.describe(reader)
	return recording.NewAnywhere(reader, r.Frames), r, nil
}

// begin makes both go on where both begin to run.
func (b *Playback) begin(p Pair, take Recording) (err error) {
	rate := float64(b.Format().RateHz)
	b.at, b.end = int64(math.Ceil(p.FromS*rate)), int64(p.ToS*rate)
	takeS := p.LaterS + float64(b.at)/rate*(1+p.PPM*1e-6)
	b.follow, err = newFollower(b.take, chosen(take, []verdict.Role{verdict.Processed})[:1], takeS, p.PPM, b.Format().RateHz)
	return err
}

// equalise listens ahead, so that both are equally loud from the begin.
func (b *Playback) equalise(p Pair, take Recording) error {
	if err := b.begin(p, take); err != nil {
		return err
	}
	last := min(b.end, b.at+int64(matchedS*float64(b.Format().RateHz)))
	block := make([]float32, readFrames)
	for b.at < last {
		n := min(readFrames, last-b.at)
		if err := b.read(block[:n]); err != nil {
			return err
		}
		b.matcher.Process(b.both)
	}
	for side, gainDB := range b.matcher.GainsDB() {
		b.gains[side] = float32(math.Pow(10, gainDB/20))
	}
	return nil
}

// read reads the next frames of both; block tells how many.
func (b *Playback) read(block []float32) error {
	channels := b.camera.sound.Format().Channels
	if need := len(block) * channels; len(b.wide) < need {
		b.wide = make([]float32, need)
		b.both = [2][]float32{make([]float32, len(block)), make([]float32, len(block))}
	}
	for side := range b.both {
		b.both[side] = b.both[side][:len(block)]
	}
	wide := b.wide[:len(block)*channels]
	if err := errors.Join(b.camera.read(wide, b.at), b.follow.read(b.both[HearTake])); err != nil {
		return err
	}
	for i := range block {
		b.both[HearClip][i] = wide[i*channels+b.channel]
	}
	b.at += int64(len(block))
	return nil
}

// fill is what the player plays.
func (b *Playback) fill(block []float32) (int, error) {
	block = block[:max(0, min(int64(len(block)), b.end-b.at))]
	if len(block) == 0 {
		return 0, io.EOF
	}
	if err := b.read(block); err != nil {
		return 0, err
	}
	for side, x := range b.both {
		for i := range x {
			x[i] *= b.gains[side]
		}
	}
	b.fader.Process(block, b.both[:])
	return len(block), nil
}

// Hear goes over to a side. Any goroutine may call it.
func (b *Playback) Hear(side int) { b.fader.Choose(side) }

// Hears is the side chosen.
func (b *Playback) Hears() int { return b.fader.Chosen() }

// Name names both files.
func (b *Playback) Name() string { return b.name }

// Kind is capture.File.
func (b *Playback) Kind() capture.Kind { return capture.File }

// Close stops the playing and closes both files.
func (b *Playback) Close() error {
	err := b.Player.Close()
	if b.camera != nil {
		err = errors.Join(err, b.camera.close())
	}
	if b.take != nil {
		err = errors.Join(err, b.take.Close())
	}
	return err
}
