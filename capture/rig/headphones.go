package rig

import (
	"math"

	"rollready/capture/rig/output"
	"rollready/dsp/strips"
	"rollready/presets"
)

// levelStepDB is how far a step changes the headphones' level.
const levelStepDB = 2.0

const noHeadphones = Refusal("No headphones: choose an output in Setup")

// ToggleMute mutes the headphones or lets them be heard, and tells which. After
// a howl the sound comes back low.
func (r *Rig) ToggleMute() (muted bool, err error) {
	now, ok := r.parts.Sound.Status(Headphones)
	if !ok {
		return true, noHeadphones
	}
	if now.Alarm != "" {
		r.parts.Sound.SetLevel(min(now.LevelDB, output.StartLevelDB))
	}
	r.parts.Sound.SetMute(!now.Muted)
	return !now.Muted, nil
}

// StepLevel turns the headphones n steps up, and gives the level in dB and
// whether they are muted.
func (r *Rig) StepLevel(n int) (levelDB float64, muted bool, err error) {
	now, ok := r.parts.Sound.Status(Headphones)
	if !ok {
		return 0, true, noHeadphones
	}
	to := min(max(math.Round(now.LevelDB)+float64(n)*levelStepDB, output.MinLevelDB), 0)
	r.parts.Sound.SetLevel(to)
	return to, now.Muted, nil
}

// CanHear refuses what is for the ears while nothing reaches them.
func (s *State) CanHear() error {
	switch way := s.Phones; {
	case !way.Open:
		return noHeadphones
	case way.Lost, way.Fault != "":
		return Refusal("Headphones lost: plug them in")
	case way.Muted:
		return Refusal("Headphones muted: press 0")
	case way.Volume.Muted:
		return Refusal("The system mutes them: unmute")
	}
	return nil
}

// Hear lets a source be heard in the headphones. The camera gets the output
// whatever is heard.
func (r *Rig) Hear(s output.Source) { r.parts.Sound.Hear(s) }

// Compare begins a comparison of two settings. One runs at a time; it must be
// closed.
func (r *Rig) Compare(a, b strips.Settings) Bench {
	r.mu.Lock()
	v := r.settings.View
	r.mu.Unlock()
	return r.parts.Sound.Compare(a, b, v)
}

// Use opens an output for a place, "" for none, and keeps which it is. On error
// the output before stays. It may take seconds.
func (r *Rig) Use(place Place, choice string) error {
	if err := r.parts.Sound.Use(place, choice); err != nil {
		return err
	}
	status, _ := r.parts.Sound.Status(place)
	r.Change(func(s *presets.Settings) {
		if place == Headphones {
			s.Headphones = status.Device
			return
		}
		s.CameraOutput = status.Device
	})
	return nil
}
