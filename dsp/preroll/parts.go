package preroll

import (
	"errors"
	"slices"

	"rollready/dsp/hops"
	"rollready/dsp/verdict"
	"rollready/dsp/weighting"
)

// Range is a stretch of a recording in frames, without End.
type Range struct{ Start, End int64 }

// ErrNoRoomTone means that the voice never pauses long enough.
var ErrNoRoomTone = errors.New("no room tone found: the voice never pauses for half a second")

const (
	partsPerSecond = 20
	talkDB         = 6.0 // least height of a voice above the quiet
	talkShare      = 0.4 // a voice starts at this share of the way from quiet to loud
	joinParts      = 2 * partsPerSecond
	loudParts      = 3 * partsPerSecond // a voice need not speak for a twentieth of the time
	mostRoom       = 10 * partsPerSecond
	leastRoom      = partsPerSecond / 2
	guardParts     = partsPerSecond / 5 // breath and reverberation beside a voice
)

// Parts finds room tone and voice in a recording. It keeps 160 bytes per
// second and channel, and as many for all. One goroutine uses it.
type Parts struct {
	meter  *weighting.Meter
	hops   hops.Hops
	frames int64
	levels []float64   // dBFS, A-weighted, of each part
	each   [][]float64 // the same, of each channel
}

// NewParts makes a finder for interleaved input frames.
func NewParts(rateHz, channels int) *Parts {
	const seconds = 0.05
	return &Parts{meter: weighting.New(weighting.A, seconds, rateHz, channels), hops: hops.Hops{Channels: channels, Frames: rateHz / partsPerSecond},
		each: make([][]float64, channels)}
}

// Process takes frames.
func (p *Parts) Process(block []float32) {
	p.frames += int64(len(block) / p.hops.Channels)
	p.hops.Cut(block, p.meter.Process, func() {
		const lowest = verdict.SilentDBFS - 40
		p.levels = append(p.levels, max(p.meter.HighestDBFS(), lowest))
		for c := range p.each {
			p.each[c] = append(p.each[c], max(p.meter.LevelDBFS(c), lowest))
		}
	})
}

// Find gives the longest quiet stretch and the stretch with the most voice
// beside it. Where nothing stands out, the first third counts as room tone,
// for a check to say what is wrong. It fails with ErrNoRoomTone where the
// voice leaves no half second of quiet.
func (p *Parts) Find() (room, voice Range, err error) {
	talking, any := p.talking()
	if !any {
		third := min(p.frames/3, int64(mostRoom*p.hops.Frames))
		return Range{0, third}, Range{third, p.frames}, nil
	}
	quiet, err := roomIn(talking)
	if err != nil {
		return Range{}, Range{}, err
	}
	before, after := stretch(talking[:quiet.Start]), stretch(talking[quiet.End:])
	if after.End-after.Start >= before.End-before.Start {
		before = Range{after.Start + quiet.End, after.End + quiet.End}
	}
	return p.inFrames(upTo(quiet, mostRoom)), p.inFrames(before), nil
}

// roomIn gives the longest quiet stretch.
func roomIn(talking []bool) (Range, error) {
	quiet := shrink(longest(talking, false), len(talking))
	if quiet.End-quiet.Start < leastRoom {
		return Range{}, ErrNoRoomTone
	}
	return quiet, nil
}

// Rest is what a recording of so many frames holds beside two stretches, in order.
func Rest(frames int64, room, voice Range) (rest []Range) {
	from := int64(0)
	if voice.Start < room.Start {
		room, voice = voice, room
	}
	for _, r := range []Range{room, voice, {frames, frames}} {
		if r.Start > from {
			rest = append(rest, Range{from, r.Start})
		}
		from = max(from, r.End)
	}
	return rest
}

func upTo(r Range, parts int64) Range { return Range{r.Start, min(r.End, r.Start+parts)} }

// talking tells for each part whether a voice stands above the quiet.
func (p *Parts) talking() (talking []bool, any bool) {
	if len(p.levels) == 0 {
		return nil, false
	}
	sorted := slices.Sorted(slices.Values(p.levels))
	quiet, loud := sorted[len(sorted)/20], sorted[max(len(sorted)*19/20, len(sorted)-loudParts)]
	limit := quiet + max(talkDB, talkShare*(loud-quiet))
	for _, level := range p.levels {
		talking = append(talking, level > limit)
		any = any || level > limit
	}
	return talking, any && loud > limit
}

// longest gives the longest run of a value.
func longest(parts []bool, value bool) Range {
	var best, run Range
	for i, v := range parts {
		if v != value {
			run.Start = int64(i) + 1
			continue
		}
		if run.End = int64(i) + 1; run.End-run.Start > best.End-best.Start {
			best = run
		}
	}
	return best
}

// shrink keeps clear of the voice on either side.
func shrink(r Range, parts int) Range {
	if r.Start > 0 {
		r.Start += guardParts
	}
	if r.End < int64(parts) {
		r.End -= guardParts
	}
	return r
}

// stretch gives the longest run of talk in which no pause is longer than joinParts.
func stretch(talking []bool) Range {
	joined := slices.Clone(talking)
	last := -1
	for i, v := range talking {
		if !v {
			continue
		}
		for k := last + 1; last >= 0 && i-last <= joinParts && k < i; k++ {
			joined[k] = true
		}
		last = i
	}
	return longest(joined, true)
}

func (p *Parts) inFrames(r Range) Range {
	return Range{r.Start * int64(p.hops.Frames), r.End * int64(p.hops.Frames)}
}
