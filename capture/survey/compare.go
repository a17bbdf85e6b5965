package survey

import (
	"context"
	"fmt"
	"math"

	"rollready/dsp/figure"
)

// leastOverlapS is how much two recordings must have in common.
const leastOverlapS = 2.0

// leastDriftS is how much two recordings must have in common to tell a drift.
const leastDriftS = 60.0

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
	fit, lengths, rates, err := lineUp(ctx, paths, func(share float64) { progress(share / 2) })
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{LaterS: figure.Figure(fit.OffsetS), DriftPPM: figure.Figure(math.NaN()), Inverted: fit.Inverted}
	if fit.ToS-fit.FromS >= leastDriftS {
		c.DriftPPM = figure.Figure(-fit.PPM)
	}
	spans, overlap := common(fit.OffsetS, lengths, rates)
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
