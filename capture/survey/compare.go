package survey

import (
	"context"
	"errors"
	"fmt"
	"math"

	"rollready/capture/recording"
	"rollready/capture/track"
	"rollready/dsp/align"
	"rollready/dsp/figure"
)

// leastOverlapS is how much two recordings must have in common.
const leastOverlapS = 2.0

// Comparison is how two recordings of the same take, A and B, differ where both
// were running.
type Comparison struct {
	LaterS   figure.Figure `json:"later_s"`   // how much later B began, by A's clock
	DriftPPM figure.Figure `json:"drift_ppm"` // how much faster B's clock runs; NaN: too short to tell
	Inverted bool          `json:"inverted"`  // B has the opposite polarity
	OverlapS figure.Figure `json:"overlap_s"`
	GainDB   figure.Figure `json:"gain_db"` // how much louder B is, both heard by one channel
	Sides    [2]Side       `json:"sides"`   // A, B
	Cleaner  string        `json:"cleaner"` // "a", "b" or "equal"
	Reasons  []Reason      `json:"reasons"` // the weightiest first
	Measured [2]Result     `json:"-"`       // of what they have in common
	Whole    [2]Result     `json:"-"`       // of all of each
}

// Compare lines two recordings up and measures each, and what they have in
// common: of a take its processed tracks, and of each recording the channel of
// the voice where their channels differ in number.
// progress is told the share done, 0 … 1; nil if nobody wants to know.
func Compare(ctx context.Context, a, b string, progress func(share float64)) (Comparison, error) {
	if progress == nil {
		progress = func(float64) {}
	}
	paths := [2]string{a, b}
	l, lengths, rates, err := lineUp(ctx, paths, func(share float64) { progress(share / 2) })
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{LaterS: figure.Figure(l.LaterS), DriftPPM: figure.Figure(math.NaN()), Inverted: l.Inverted}
	if l.Drifts {
		c.DriftPPM = figure.Figure(l.DriftPPM)
	}
	spans, overlap := common(l.LaterS, lengths, rates)
	if overlap < leastOverlapS {
		return c, fmt.Errorf("%s and %s were running together for only %.1f s", a, b, max(0, overlap))
	}
	c.OverlapS = figure.Figure(overlap)
	for i, path := range paths {
		wanted := []span{{}}
		if spans[i].frames < int64(lengths[i]*float64(rates[i]))-1 {
			wanted = append(wanted, spans[i])
		}
		results, err := measure(ctx, path, func(share float64) { progress(0.5 + (float64(i)+share)/2/2) }, newSingle, wanted...)
		if err != nil {
			return c, err
		}
		c.Whole[i], c.Measured[i] = results[0], results[len(results)-1]
	}
	c.judge()
	return c, nil
}

// common is the part of each recording in which both were running.
func common(laterS float64, lengths [2]float64, rates [2]int) (spans [2]span, seconds float64) {
	from := max(0, laterS)
	seconds = min(lengths[0], laterS+lengths[1]) - from
	for i, start := range [2]float64{from, from - laterS} {
		rate := float64(rates[i])
		spans[i] = span{int64(math.Round(start * rate)), max(1, int64(seconds*rate))}
	}
	return spans, seconds
}

// lineUp reads both recordings twice: for their outlines, then for their waves.
func lineUp(ctx context.Context, paths [2]string, progress func(float64)) (l align.LineUp, lengths [2]float64, rates [2]int, err error) {
	var outlines [2]*align.Outline
	var channels [2]int
	for i, path := range paths {
		err = feed(ctx, path, func(rateHz, n int) func([]float32) {
			outlines[i], rates[i], channels[i] = align.NewOutline(rateHz, n), rateHz, n
			return outlines[i].Process
		})
		if err != nil {
			return l, lengths, rates, err
		}
		lengths[i] = outlines[i].Seconds()
		progress(float64(i+1) / 4)
	}
	later, ok := align.Coarse(outlines[0], outlines[1])
	if ok {
		places := align.Places(outlines[0], outlines[1], later)
		waves := [2]*align.Waves{
			align.NewFirst(rates[0], channels[0], outlines[0].Channel(), places),
			align.NewSecond(rates[1], channels[1], outlines[1].Channel(), places, later),
		}
		for i, path := range paths {
			if err = feed(ctx, path, func(int, int) func([]float32) { return waves[i].Process }); err != nil {
				return l, lengths, rates, err
			}
			progress(float64(i+3) / 4)
		}
		l, ok = align.Fine(waves[0], waves[1])
	}
	if !ok {
		err = errors.New("no common sound found: these are not two recordings of the same take, or one is too short")
	}
	return l, lengths, rates, err
}

// feed hands the tracks of a recording that are compared to what start makes
// for their format.
func feed(ctx context.Context, path string, start func(rateHz, channels int) func([]float32)) error {
	r, err := recording.Open(ctx, path)
	if err != nil {
		return err
	}
	defer r.Close()
	f := r.Format()
	first := track.Groups(tracksIn(r, path))[0]
	only := pick(first.Channels, f.Channels, feeder{start(f.RateHz, len(first.Channels))})
	if _, err := pipe(ctx, r, []stage{only}, func(int64) {}); err != nil {
		return fmt.Errorf("read %s: %w", path, err)
	}
	return nil
}

// feeder is a stage that finds nothing of its own.
type feeder struct{ to func([]float32) }

func (f feeder) process(block []float32) { f.to(block) }
func (f feeder) finish(*Result)          {}
