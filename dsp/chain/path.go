package chain

import "rollready/dsp/filter"

// maxSections is a high-pass and a low-pass of 24 dB per octave.
const maxSections = 4

// path is one set of filters with its memory.
type path struct {
	plan     *plan
	channels int
	states   [maxSections][2]filter.State
}

// follow makes the path ready to take over from another with the filters of
// p, and tells for how many frames it must run unheard. A high-pass that stays
// as it is sees the same signal in both and needs no settling.
func (to *path) follow(from *path, p *plan) (warm int) {
	to.plan = p
	to.states = [maxSections][2]filter.State{}
	if p.settings.HighPass != from.plan.settings.HighPass {
		return p.warm
	}
	copy(to.states[:p.highPass], from.states[:p.highPass])
	return p.warmLow
}

// run filters frames in place.
func (to *path) run(frames []float64) {
	sections := to.plan.sections
	i := 0
	if to.channels == 1 && len(sections) == 3 {
		filter.RunThree(&sections[0], &sections[1], &sections[2], &to.states[0][0], &to.states[1][0], &to.states[2][0], frames)
		i = 3
	}
	for ; to.channels == 1 && i+1 < len(sections); i += 2 {
		filter.RunTwo(&sections[i], &sections[i+1], &to.states[i][0], &to.states[i+1][0], frames)
	}
	for ; i < len(sections); i++ {
		sections[i].Run(to.states[i][:to.channels], frames)
	}
}
