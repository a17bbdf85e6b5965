package dailies

import (
	"context"
	"math"

	"rollready/capture/recording"
)

// laid gives the camera's sound as it belongs to the picture: where it lost
// time there is a hole, where it has too much the rest is left out. One
// goroutine uses it.
type laid struct {
	sound *recording.Anywhere
	runs  []run
}

// run is a piece of the camera's sound, in frames of its rate.
type run struct {
	from, to int64 // of the picture's time
	shift    int64 // to be taken off for a frame of the sound
}

func (c Clip) lay(ctx context.Context) (*laid, error) {
	sound, err := open(ctx, c.Recording)
	if err != nil {
		return nil, err
	}
	return c.layOn(sound), nil
}

func (c Clip) layOn(sound *recording.Anywhere) *laid {
	rate := float64(c.RateHz)
	late := c.Picture.SoundLateS
	l := &laid{sound: sound}
	next := run{from: int64(math.Round(late * rate)), shift: int64(math.Round(late * rate))}
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			at := int64(math.Round(j.AtS * rate))
			next.to = at + next.shift
			l.runs = append(l.runs, next)
			late += j.LostS
			shift := int64(math.Round(late * rate))
			next = run{from: max(next.to, at+shift), shift: shift}
		}
	}
	next.to = c.Frames + next.shift
	l.runs = append(l.runs, next)
	return l
}

// read fills dst with whole frames from one of the picture's time on.
func (l *laid) read(dst []float32, from int64) error {
	n := int64(l.sound.Format().Channels)
	end := from + int64(len(dst))/n
	clear(dst)
	for _, r := range l.runs {
		if a, b := max(from, r.from), min(end, r.to); a < b {
			if err := l.sound.From(dst[(a-from)*n:(b-from)*n], a-r.shift); err != nil {
				return err
			}
		}
	}
	return nil
}

func (l *laid) close() error { return l.sound.Close() }

// beside gives the liveliest channel of the takes as they run with the clip's
// picture, at the clip's rate. One goroutine uses it.
type beside struct {
	ctx    context.Context
	clip   Clip
	part   int // whose follower is open, −1: none
	take   *recording.Anywhere
	follow *follower
	next   int64
}

func newBeside(ctx context.Context, c Clip) *beside { return &beside{ctx: ctx, clip: c, part: -1} }

// read fills dst with the samples from a frame on; silence where no take is.
func (b *beside) read(dst []float32, from int64) error {
	clear(dst)
	rate := float64(b.clip.RateHz)
	end := from + int64(len(dst))
	for i, p := range b.clip.Parts {
		first, last := int64(math.Ceil(p.FromS(b.clip.Recording)*rate)), int64(p.ToS(b.clip.Recording)*rate)
		x, y := max(from, first), min(end, last)
		if x >= y {
			continue
		}
		if err := b.at(i, x); err != nil {
			return err
		}
		if err := b.follow.read(dst[x-from : y-from]); err != nil {
			return err
		}
		b.next = y
	}
	return nil
}

// at makes the follower go on at a frame.
func (b *beside) at(part int, frame int64) error {
	if b.part == part && b.next == frame {
		return nil
	}
	p := b.clip.Parts[part]
	if b.part != part {
		if err := b.close(); err != nil {
			return err
		}
		take, err := open(b.ctx, p.Take)
		if err != nil {
			return err
		}
		b.take, b.part = take, part
	}
	f, err := newFollower(b.take, []int{p.Take.Channel}, p.TakeS(b.clip.Recording, float64(frame)/float64(b.clip.RateHz)), p.Fit.PPM, b.clip.RateHz)
	b.follow = f
	return err
}

func (b *beside) close() error {
	b.part = -1
	if b.take == nil {
		return nil
	}
	take := b.take
	b.take = nil
	return take.Close()
}
