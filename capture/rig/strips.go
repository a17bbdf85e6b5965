package rig

import (
	"rollready/dsp/chain"
	"rollready/dsp/strips"
	"rollready/presets"
)

// setChain changes the chain of the chosen strip, of linked ones of all.
func (r *Rig) setChain(c chain.Settings) error {
	s := r.settings.Strips
	s.Set(r.chosen(), c)
	return r.setStrips(s)
}

// chosen is the chosen strip among those there are.
func (r *Rig) chosen() int {
	return min(r.settings.Strip, max(r.parts.Engine.Status().Picked.Count, 1)-1)
}

// ChooseStrip lets the controls and the bands be those of a strip, from 0. The
// bands of linked strips stay as they are.
func (r *Rig) ChooseStrip(strip int) {
	r.Change(func(s *presets.Settings) { s.Strip = max(0, min(strip, strips.Max-1)) })
}

// ToggleLink links the strips to the chosen one, or lets each have controls of
// its own, and tells in words what that changed.
func (r *Rig) ToggleLink() (changed []string, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.settings.Strips.Fit(r.parts.Engine.Status().Picked.Count)
	if s.Unlinked {
		changed = s.Link(r.chosen())
	} else {
		s.Unlinked = true
	}
	return changed, r.setStrips(s.Fit(0))
}

// ToggleSolo lets the chosen strip alone be heard in the headphones, or all
// again, and tells which, from 1; 0: all.
func (r *Rig) ToggleSolo() (strip int, err error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if _, open := r.parts.Sound.Status(Headphones); !open {
		return 0, noHeadphones
	}
	s := r.settings.Strips
	if s.Solo = r.chosen() + 1; r.settings.Strips.Solo == s.Solo {
		s.Solo = 0
	}
	return s.Solo, r.setStrips(s)
}

// GainBetween is by how many dB the chain lifts the other of the first two
// strips over that of a voice, as their sum has it.
func (s *State) GainBetween(voice int) float64 {
	return s.Settings.Strips.Strips[1-voice].Chain.GainDB - s.Settings.Strips.Strips[voice].Chain.GainDB
}

// soloOff lets all be heard: nobody begins a take with one microphone in the
// ears by accident.
func (r *Rig) soloOff() {
	r.mu.Lock()
	defer r.mu.Unlock()
	s := r.settings.Strips
	s.Solo = 0
	_ = r.setStrips(s) // what only the headphones hear is never refused
}
