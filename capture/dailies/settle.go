package dailies

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"rollready/capture/recording"
	"rollready/dsp/match"
)

const (
	sureShare  = 0.6  // of the places agree: nothing unlikelier need be tried …
	rivalScore = 0.5  // … than what has so much of its score
	covered    = 0.95 // of the clip
	alike      = 0.75 // of the best one's weight: there is no telling which
	silentDB   = 0.25 // mean activity
	leastPartS = 1.0
)

// settle compares the waves of a clip with those of the takes that it may
// belong to, and decides.
func (f *finder) settle(ctx context.Context, i int) (Clip, error) {
	c, k := Clip{Recording: f.clips[i]}, f.known[i]
	p, err := f.print(c.Recording)
	if err != nil {
		return c, err
	}
	t := &trial{finder: f, clip: c.Recording, print: p}
	defer t.close()
	c.Silent = t.silent()
	if err := t.run(ctx, k); err != nil {
		return c, fmt.Errorf("compare %s: %w", c.Path, err)
	}
	if t.fresh {
		if err := f.shelf.save(c.Key, "known", k); err != nil {
			return c, err
		}
	}
	f.decide(&c, k)
	return c, nil
}

// trial compares one clip.
type trial struct {
	*finder
	clip  Recording
	print match.Print
	sound *recording.Anywhere // opened when first needed
	side  match.Recording
	fresh bool // something was found out that is not kept yet
}

func (t *trial) close() {
	if t.sound != nil {
		_ = t.sound.Close()
	}
}

func (t *trial) silent() bool {
	sum := float32(0)
	active := match.Activity(t.print)
	for _, a := range active {
		sum += a
	}
	return float64(sum) < silentDB*float64(max(1, len(active)))
}

func (t *trial) run(ctx context.Context, k *known) error {
	sureScore := 0.0
	for _, c := range k.promising() {
		take, there := t.byKey(c.Take)
		if !there || c.Score < rivalScore*sureScore {
			continue
		}
		if !c.Tried {
			if err := t.try(ctx, c, take); err != nil {
				return err
			}
		}
		if c.sure(t.clip) {
			sureScore = max(sureScore, c.Score)
		}
	}
	return t.byClock(ctx, k)
}

// byClock tries the takes that ran during the clip by the recorder's own
// clock, once one of them is found: what they hold of it may be short.
func (t *trial) byClock(ctx context.Context, k *known) error {
	best := slices.MaxFunc(append([]candidate{{}}, k.Maybe...), func(a, b candidate) int { return cmp.Compare(a.weight(), b.weight()) })
	from, there := t.byKey(best.Take)
	if !there || !best.Fit.Belongs() || from.Started.IsZero() {
		return ctx.Err()
	}
	for _, take := range t.takes {
		offset := best.Fit.OffsetS + from.Started.Sub(take.Started).Seconds()
		covers := min(t.clip.Seconds(), take.Seconds()-offset) - max(0, -offset)
		known := slices.ContainsFunc(k.Maybe, func(c candidate) bool {
			return c.Tried && c.Take == take.Key && math.Abs(c.OffsetS-offset) < sameS
		})
		if take.Started.IsZero() || covers < leastPartS || known {
			continue
		}
		c := candidate{Take: take.Key, OffsetS: offset}
		if err := t.try(ctx, &c, take); err != nil {
			return err
		}
		k.Maybe = append(k.Maybe, c)
	}
	return ctx.Err()
}

// sure tells whether a candidate explains the whole clip.
func (c *candidate) sure(clip Recording) bool {
	return c.Fit.Belongs() && float64(c.Fit.Agreeing) >= sureShare*float64(c.Fit.Places) && c.Fit.ToS-c.Fit.FromS >= covered*clip.Seconds()
}

func (f *finder) byKey(key string) (Recording, bool) {
	i := slices.IndexFunc(f.takes, func(r Recording) bool { return r.Key == key })
	if i < 0 {
		return Recording{}, false
	}
	return f.takes[i], true
}

// try compares the waves, first at a few places, then at many.
func (t *trial) try(ctx context.Context, c *candidate, take Recording) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if t.sound == nil {
		sound, err := open(ctx, t.clip)
		if err != nil {
			return err
		}
		t.sound = sound
		t.side = match.Recording{Seconds: t.clip.Seconds(), Active: match.Activity(t.print), Sound: t.clip.waves(sound)}
	}
	p, err := t.finder.print(take)
	if err != nil {
		return err
	}
	sound, err := open(ctx, take)
	if err != nil {
		return err
	}
	defer sound.Close()
	side := match.Recording{Seconds: take.Seconds(), Active: match.Activity(p), Sound: take.waves(sound)}
	fit, err := match.Try(t.side, side, c.OffsetS)
	if err == nil && fit.Belongs() {
		fit, err = match.Align(t.side, side, fit)
	}
	if err != nil {
		return err
	}
	c.Fit, c.Tried, t.fresh = fit, true, true
	return nil
}

// weight is how much speaks for a candidate.
func (c *candidate) weight() float64 { return c.Fit.Strength * float64(c.Fit.Agreeing) }

// decide takes the weightiest candidates that do not lie over each other.
// Where another fits as well, there is no telling, and it is said.
func (f *finder) decide(c *Clip, k *known) {
	var good []candidate
	for _, m := range k.Maybe {
		if _, there := f.byKey(m.Take); there && m.Tried && m.Fit.Belongs() && m.Fit.ToS-m.Fit.FromS >= min(leastPartS, c.Seconds()/2) {
			good = append(good, m)
		}
	}
	slices.SortStableFunc(good, func(a, b candidate) int { return cmp.Compare(b.weight(), a.weight()) })
	var taken []candidate
	for _, m := range good {
		over := slices.IndexFunc(taken, func(o candidate) bool {
			return overlap(m.Fit, o.Fit) > 0.5*min(m.Fit.ToS-m.Fit.FromS, o.Fit.ToS-o.Fit.FromS)
		})
		if over < 0 {
			taken = append(taken, m)
			continue
		}
		o := taken[over]
		same := m.Take == o.Take && math.Abs(m.Fit.OffsetS-o.Fit.OffsetS) < sameS
		if !same && m.weight() > alike*o.weight() {
			t, _ := f.byKey(m.Take)
			c.Rivals = append(c.Rivals, t.Path)
			if r, _ := f.byKey(o.Take); !slices.Contains(c.Rivals, r.Path) {
				c.Rivals = append(c.Rivals, r.Path)
			}
		}
	}
	if len(c.Rivals) > 0 {
		return
	}
	slices.SortFunc(taken, func(a, b candidate) int { return cmp.Compare(a.Fit.FromS, b.Fit.FromS) })
	lostS := 0.0 // by the clip's sound before: the picture went on
	for _, m := range taken {
		t, _ := f.byKey(m.Take)
		fit := m.Fit
		fit.OffsetS, fit.FromS, fit.ToS = fit.OffsetS-lostS, fit.FromS+lostS, fit.ToS+lostS
		fit.PivotsS = slices.Clone(fit.PivotsS)
		for i := range fit.PivotsS {
			fit.PivotsS[i] += lostS
		}
		c.Parts = append(c.Parts, Part{Take: t, Fit: fit})
		for _, j := range fit.Jumps {
			lostS += j.LostS
		}
	}
}

// overlap is how long two fits share the clip.
func overlap(a, b match.Fit) float64 { return min(a.ToS, b.ToS) - max(a.FromS, b.FromS) }
