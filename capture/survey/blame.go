package survey

import (
	"math"
	"slices"

	"rollready/dsp/verdict"
)

// judge puts together what was found in the tracks of each role, each fault
// once and where it comes from. What is wrong in a raw track and right in the
// processed ones was mended by the chain: good to know. A safety track is a
// softer copy, and only of interest where it is to be taken.
func (m *Meter) judge(parts []Result) []verdict.Finding {
	found := map[verdict.Role][]verdict.Finding{}
	for i, g := range m.groups {
		for _, f := range g.found.judge(&parts[i]) {
			found[g.Role] = append(found[g.Role], f.In(g.Role))
		}
	}
	all := append([]verdict.Finding{}, found[""]...)
	if m.part(parts, verdict.Processed) == nil {
		all = append(append(all, found[verdict.Raw]...), found[verdict.Safety]...)
	} else {
		processed, raw, muted := m.muted(found[verdict.Processed], found[verdict.Raw], parts)
		all = append(append(append(all, muted...), m.blame(processed, raw, parts)...), m.overload(parts)...)
	}
	verdict.Sort(all)
	return all
}

// muted tells of processed tracks of zeros beside raw ones that are none: no chain
// makes such, a muted microphone does. That is then all that is said of them.
func (m *Meter) muted(processed, raw []verdict.Finding, parts []Result) (_, _, found []verdict.Finding) {
	out, in := m.part(parts, verdict.Processed), m.part(parts, verdict.Raw)
	if in == nil {
		return processed, raw, nil
	}
	zeros := func(r *Result, c int) bool { return math.IsInf(float64(r.RMSDBFS[c]), -1) }
	is := func(c int) bool { return c < in.Channels && zeros(out, c) && !zeros(in, c) }
	w, any := m.who(verdict.Processed).Which(is)
	if !any {
		return processed, raw, nil
	}
	from, _ := m.who(verdict.Raw).Which(is)
	left := func(list []verdict.Finding, of verdict.Where) []verdict.Finding {
		return slices.DeleteFunc(list, func(f verdict.Finding) bool {
			about := f.Code == verdict.DeadChannel || f.Code == verdict.Leaks
			nothing := f.Code == verdict.Silence && of.Role == verdict.Processed
			return nothing || about && (slices.Contains(of.Channels, f.Channel) || slices.Equal(of.Channels, f.Channels))
		})
	}
	all := len(w.Channels) == out.Channels
	return left(processed, w), left(raw, from), []verdict.Finding{verdict.MutedTrack(w, from, all)}
}

// who is how the tracks of a role are called.
func (m *Meter) who(r verdict.Role) (who verdict.Signal) {
	for _, g := range m.groups {
		if g.Role == r {
			return g.found.who
		}
	}
	return who
}

// blame takes together what was found in processed and in raw tracks.
func (m *Meter) blame(processed, raw []verdict.Finding, parts []Result) (all []verdict.Finding) {
	for _, f := range processed {
		echo := ofTheInput(f.Code) && hasCode(raw, f.Code)
		cut := f.Code == verdict.DCOffset && m.part(parts, verdict.Raw) != nil && !hasCode(raw, f.Code) // the chain adds no offset
		if !echo && !cut && !m.ours(f.Code, parts) {
			all = append(all, f)
		}
	}
	for _, f := range raw {
		switch {
		case f.Code == verdict.PolarityInverted && !hasCode(processed, f.Code): // turned here
			all = append(all, f.With(verdict.Info))
		case ofTheInput(f.Code):
			all = append(all, f)
		case f.Code != verdict.NoVoice && !hasCode(processed, f.Code):
			all = append(all, f.With(verdict.Info))
		}
	}
	return all
}

// ours tells of faults of processed tracks that overload finds, or that are
// none: a limiter's peaks may be flat.
func (m *Meter) ours(c verdict.Code, parts []Result) bool {
	return c == verdict.InputClipped || c == verdict.FlatTopped && m.part(parts, verdict.Raw) != nil
}

// ofTheInput tells of faults that come in with the sound: in raw tracks they
// are themselves, in processed ones an echo.
func ofTheInput(c verdict.Code) bool {
	return slices.Contains([]verdict.Code{verdict.InputClipped, verdict.FlatTopped, verdict.DeadChannel, verdict.PolarityInverted,
		verdict.Dropouts, verdict.NotFinite, verdict.Silence}, c)
}

func hasCode(all []verdict.Finding, c verdict.Code) bool {
	return slices.ContainsFunc(all, func(f verdict.Finding) bool { return f.Code == c })
}

// part gives what was measured of a role, nil if it has no tracks.
func (m *Meter) part(parts []Result, r verdict.Role) *Result {
	for i, g := range m.groups {
		if g.Role == r {
			return &parts[i]
		}
	}
	return nil
}

// overload tells where our own gain, not the input, reached full scale: in
// processed tracks that did so more often than their raw ones.
func (m *Meter) overload(parts []Result) []verdict.Finding {
	processed, raw, safety := m.part(parts, verdict.Processed), m.part(parts, verdict.Raw), m.part(parts, verdict.Safety)
	if processed == nil {
		return nil
	}
	var clean verdict.Role
	ours := func(c int) int64 {
		if runs := processed.ClippedRuns[c]; runs > hits(raw, c) {
			return runs
		}
		return 0
	}
	isClean := func(r *Result) bool {
		for c := range processed.Channels {
			if r == nil || ours(c) > 0 && hits(r, c) > 0 {
				return false
			}
		}
		return true
	}
	switch {
	case isClean(raw):
		clean = verdict.Raw
	case isClean(safety):
		clean = verdict.Safety
	}
	return m.groups[0].found.who.Counted(ours, func(w verdict.Where, runs int64) verdict.Finding { return verdict.OurOverload(w, runs, clean) })
}

// hits counts runs at full scale and flat tops in a channel, counted from 0.
func hits(r *Result, c int) int64 {
	if r == nil || c >= r.Channels {
		return 0
	}
	return r.ClippedRuns[c] + r.FlatTops[c]
}
