// Package heard judges sound for a check, a report and a take alike: what was
// heard becomes findings, by the same detectors, limits and words.
package heard

import (
	"math"

	"rollready/dsp/gap"
	"rollready/dsp/level"
	"rollready/dsp/verdict"
)

// Input watches sound as it comes in: levels, overloads and breaks. One
// goroutine uses it.
type Input struct {
	Level *level.Meter
	Gap   *gap.Meter
	n     int
}

// NewInput makes an Input for interleaved frames.
func NewInput(rateHz, channels int) *Input {
	return &Input{level.New(rateHz, channels), gap.New(rateHz, channels), channels}
}

// Process takes frames. It does not allocate.
func (i *Input) Process(block []float32) {
	i.Level.Process(block)
	i.Gap.Process(block)
}

// Splice tells that what comes now does not go on from what came.
func (i *Input) Splice() { i.Gap.Splice() }

// Findings judges what came in on channels that are called so, besides so many
// losses that the source itself told of.
func (i *Input) Findings(in verdict.Signal, lost int64) []verdict.Finding {
	found := in.Counted(i.Level.ClippedRuns, verdict.Clipped)
	found = append(found, in.Counted(i.flatTops, func(w verdict.Where, tops int64) verdict.Finding {
		return verdict.CutFlat(w, tops, i.ceiling())
	})...)
	if w, any := in.Which(i.bent); any {
		found = append(found, verdict.BentOver(w))
	}
	return append(found, i.broken(in, lost)...)
}

// flatTops counts those of a channel that are said: a converter's own next to
// clipped runs are the same overload, moved by an offset.
func (i *Input) flatTops(c int) int64 {
	if i.Level.ClippedRuns(c) > 0 && i.Level.FlatTopDBFS(c) >= verdict.ConverterDBFS {
		return 0
	}
	return i.Level.FlatTops(c)
}

// ceiling is the highest level at which tops are cut flat.
func (i *Input) ceiling() float64 {
	top := math.Inf(-1)
	for c := range i.n {
		top = max(top, i.Level.FlatTopDBFS(c))
	}
	return top
}

// Overloaded tells whether a channel is cut or bent over.
func (i *Input) Overloaded(c int) bool { return i.cut(c) || i.Level.SoftTops(c) }

func (i *Input) cut(c int) bool { return i.Level.ClippedRuns(c)+i.Level.FlatTops(c) > 0 }

// bent tells of soft clipping alone.
func (i *Input) bent(c int) bool { return i.Level.SoftTops(c) && !i.cut(c) }

// Broken counts the breaks, and the cracks among them. The edges of clipped
// waves crack too, and a voice driven into them comes and goes at once: there
// only what can be nothing else counts.
func (i *Input) Broken() (breaks, cracks int64) {
	sure := i.Gap.Of(gap.Hole) + i.Gap.Of(gap.Repeat) + i.Gap.Of(gap.Hold)
	dips := int64(0)
	for c := range i.n {
		if !i.Overloaded(c) {
			dips, cracks = max(dips, i.Gap.On(c, gap.Dip)), max(cracks, i.Gap.On(c, gap.Crack))
		}
	}
	return sure + dips, cracks
}

// brokenOn tells whether a channel broke off or cracked.
func (i *Input) brokenOn(c int) bool {
	n := i.Gap.On(c, gap.Hole) + i.Gap.On(c, gap.Repeat) + i.Gap.On(c, gap.Hold)
	if !i.Overloaded(c) {
		n += i.Gap.On(c, gap.Dip) + i.Gap.On(c, gap.Crack)
	}
	return n > 0
}

func (i *Input) broken(in verdict.Signal, lost int64) []verdict.Finding {
	breaks, cracks := i.Broken()
	if breaks+cracks+lost == 0 {
		return nil
	}
	w, _ := in.Which(i.brokenOn)
	if len(w.Channels) == i.n || lost > 0 {
		w = in.All()
	}
	return []verdict.Finding{verdict.Broken(w, breaks+lost, cracks)}
}
