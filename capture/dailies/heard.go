package dailies

import (
	"context"
	"errors"
	"math"
	"slices"

	"rollready/dsp/mend"
)

// Heard is what the camera did to the sound of a clip, beside its take. A
// plain value.
type Heard struct {
	mend.Verdict
	Inverted bool `json:"inverted"` // the camera's polarity is the take's, turned
}

// keptHeard is Heard with what is too long to print.
type keptHeard struct {
	Heard Heard     `json:"heard"`
	Gains []float64 `json:"gains"`
}

// Hear listens to every clip beside its take. What was heard before is known.
func Hear(ctx context.Context, d *Day, o Options) error {
	s, err := newShelf(o.Keep)
	if err != nil {
		return err
	}
	failures := make([]error, len(d.Clips))
	err = inParallel(ctx, len(d.Clips), func(i int) error {
		if c := &d.Clips[i]; len(c.Parts) > 0 && c.Heard == nil {
			failures[i] = c.hear(ctx, s)
		}
		return ctx.Err()
	}, func(done int64) { o.tell("listen", done, int64(len(d.Clips))) })
	for i, e := range failures {
		if e != nil && err == nil {
			d.Failed = append(d.Failed, Failure{d.Clips[i].Path, e.Error()})
		}
	}
	return err
}

func (c *Clip) hear(ctx context.Context, s shelf) error {
	key := signature(*c, nil)
	var k keptHeard
	if s.load(key, "heard", &k) {
		k.Heard.GainsDB = k.Gains
		c.Heard = &k.Heard
		return nil
	}
	v, err := c.listen(ctx)
	if err != nil {
		return err
	}
	h := Heard{v, c.Parts[0].Fit.Inverted}
	if err := s.save(key, "heard", keptHeard{h, rounded(v.GainsDB)}); err != nil {
		return err
	}
	c.Heard = &h
	return nil
}

func rounded(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = math.Round(10*v) / 10
	}
	return y
}

func (c *Clip) listen(ctx context.Context) (v mend.Verdict, err error) {
	camera, err := c.lay(ctx)
	if err != nil {
		return v, err
	}
	defer camera.close()
	takes := newBeside(ctx, *c)
	defer takes.close()
	l := mend.NewListener(c.RateHz)
	whole := make([]float32, readFrames*c.Channels)
	one, take := make([]float32, readFrames), make([]float32, readFrames)
	for at := int64(0); at < c.framesAt(c.RateHz); at += readFrames {
		if ctx.Err() != nil {
			return v, ctx.Err()
		}
		if err := errors.Join(camera.read(whole, at), takes.read(take, at)); err != nil {
			return v, err
		}
		for i := range one {
			one[i] = whole[i*c.Channels+c.Channel]
		}
		l.Process(one, take)
	}
	v = l.Verdict(func(atS float64) bool { return c.covers(atS) && c.sounds(atS) })
	c.addJumps(&v)
	return finite(v), nil
}

// sounds tells whether the camera's sound runs at a moment of the picture: it
// may begin later and end earlier, by a frame of its codec.
func (c *Clip) sounds(atS float64) bool {
	end := c.Picture.SoundLateS + c.Seconds() - codecS
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			end += j.LostS
		}
	}
	return atS >= c.Picture.SoundLateS+codecS && atS < end
}

// codecS is the longest frame of a codec: the last one may hold silence.
const codecS = 0.05

// covers tells whether a take runs at a moment of the picture.
func (c *Clip) covers(atS float64) bool {
	return slices.ContainsFunc(c.Parts, func(p Part) bool { return atS >= p.FromS(c.Recording) && atS < p.ToS(c.Recording) })
}

// addJumps adds the places where the camera lost time, if nothing else was
// heard there.
func (c *Clip) addJumps(v *mend.Verdict) {
	late := c.Picture.SoundLateS
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			const aroundS = 0.03
			rate := float64(c.RateHz)
			from, to := int64((j.AtS+late-aroundS)*rate), int64((j.AtS+late+max(0, j.LostS)+aroundS)*rate)
			late += j.LostS
			i := slices.IndexFunc(v.Stretches, func(s mend.Stretch) bool { return s.From <= to && from <= s.To })
			if i >= 0 {
				s := &v.Stretches[i]
				s.From, s.To = min(s.From, from), max(s.To, to)
				// The hole where the lost sound was is not another fault.
				s.Faults = append(slices.DeleteFunc(s.Faults, func(f mend.Fault) bool { return f == mend.BrokenUp }), mend.LostTime)
				continue
			}
			v.Stretches = append(v.Stretches, mend.Stretch{From: max(0, from), To: to, Faults: []mend.Fault{mend.LostTime}})
		}
	}
	slices.SortFunc(v.Stretches, func(a, b mend.Stretch) int { return int(a.From - b.From) })
}

// finite replaces what is unknown, so that it can be kept.
func finite(v mend.Verdict) mend.Verdict {
	for _, x := range []*float64{&v.GainDB, &v.MovesDB, &v.BadS} {
		if *x-*x != 0 {
			*x = 0
		}
	}
	return v
}
