package survey

import (
	"rollready/capture"
	"rollready/capture/track"
	"rollready/dsp/figure"
	"rollready/dsp/verdict"
)

// Meter measures a recording in one pass as its frames come: those of a file,
// or of a take that rolls. Tracks of each role are measured apart, so that raw
// and safety tracks do not count as loudspeakers. One goroutine uses it.
type Meter struct {
	format capture.Format
	tracks []track.Track
	finite finite
	groups []*group
}

// New makes a meter for a recording with these tracks, one per channel.
func New(f capture.Format, tracks []track.Track) *Meter {
	m := &Meter{format: f, tracks: tracks}
	for _, g := range track.Groups(tracks) {
		m.groups = append(m.groups, newGroup(g, f))
	}
	return m
}

// Process takes interleaved frames, and puts silence where a sample is not a
// finite number.
func (m *Meter) Process(block []float32) {
	m.finite.look(block, len(block)/m.format.Channels, m.format)
	for _, g := range m.groups {
		for _, s := range g.stages {
			s.process(block)
		}
	}
}

// ClippedRuns counts so far the runs at full scale in the tracks of a role.
func (m *Meter) ClippedRuns(of verdict.Role) (sum int64) {
	for _, g := range m.groups {
		if g.Role != of {
			continue
		}
		for c := range g.Channels {
			sum += g.levels.Level.ClippedRuns(c)
		}
	}
	return sum
}

// stages are those of all groups, for a pipe.
func (m *Meter) stages() (all []stage) {
	for _, g := range m.groups {
		all = append(all, g.stages...)
	}
	return all
}

// Result gives what was measured of all frames so far, and ends the measuring.
// Its figures are those of the processed tracks where there are any.
func (m *Meter) Result() Result {
	parts := make([]Result, len(m.groups))
	for i, g := range m.groups {
		parts[i] = Result{DurationS: figure.Figure(float64(m.finite.frames) / float64(m.format.RateHz)), SampleRateHz: m.format.RateHz}
		if i == 0 {
			m.finite.finish(&parts[i])
		}
		g.finish(&parts[i])
	}
	r := parts[0]
	r.Tracks = m.tracksOf(parts)
	r.Roles = m.roles(parts)
	r.microphones = m.strips(parts)
	r.named()
	r.Findings = m.judge(parts)
	r.Events = m.events(parts)
	return r
}

// group measures the tracks of one role.
type group struct {
	track.Group
	stages []stage
	levels *levels // one of them
	found  *facts
}

func newGroup(g track.Group, f capture.Format) *group {
	made := &group{Group: g, found: &facts{who: verdict.Signal{Channels: len(g.Channels), Role: g.Role}}}
	if len(g.Channels) < f.Channels || g.Role != "" {
		made.found.who.Columns = made.columns()
	}
	for _, s := range newStages(f.RateHz, len(g.Channels), made.found) {
		if l, is := s.(*levels); is {
			made.levels = l
		}
		made.stages = append(made.stages, pick(g.Channels, f.Channels, s))
	}
	return made
}

func (g *group) finish(r *Result) {
	r.Channels = len(g.Channels)
	for _, s := range g.stages {
		s.finish(r)
	}
	for range g.Channels {
		r.ChannelWeights = append(r.ChannelWeights, 1)
	}
	if g.found.lufs != nil {
		r.voiceLUFS = figure.Figure(g.found.lufs[g.found.ch])
	}
}

// pick gives a stage some channels, from 0, of a recording of so many.
func pick(from []int, of int, s stage) stage {
	if len(from) == of {
		return s
	}
	return &picked{stage: s, from: from, of: of}
}

// picked is a stage that gets some channels of a recording.
type picked struct {
	stage
	from  []int // channels, from 0
	of    int
	block []float32
}

func (p *picked) process(block []float32) {
	p.block = p.block[:0]
	for ; len(block) >= p.of; block = block[p.of:] {
		for _, c := range p.from {
			p.block = append(p.block, block[c])
		}
	}
	p.stage.process(p.block)
}
