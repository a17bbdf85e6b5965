package rig

import (
	"time"

	"rollready/capture/take"
	"rollready/dsp/earcon"
)

// Countdown is the time before a take that a person needs to walk before the
// camera.
type Countdown struct {
	On   bool
	Left time.Duration // 0: it is time to roll
}

// Seconds are those left, the one that runs counted whole.
func (c Countdown) Seconds() int { return int((c.Left + time.Second - 1) / time.Second) }

// CountDown begins the countdown that is set. While a take rolls, or none is
// set, it is refused.
func (r *Rig) CountDown() error {
	if now := r.parts.Recorder.Status(); now.Rolling {
		return Refusal(now.Take.Title() + " is rolling: ctrl-r stops it")
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.settings.CountdownS == 0 {
		return Refusal("No countdown is set: see Setup")
	}
	r.rolls = r.parts.Now().Add(time.Duration(r.settings.CountdownS) * time.Second)
	return nil
}

// CallOff ends the countdown; nothing rolls.
func (r *Rig) CallOff() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.rolls = time.Time{}
}

// RollCounted begins the take that was counted down, with the slate tone where
// that is set. It may wait for a device and the disk.
func (r *Rig) RollCounted(w take.What) (take.Take, error) {
	t, err := r.Roll(w)
	r.mu.Lock()
	tone := r.settings.CountdownTone
	r.mu.Unlock()
	if err == nil && tone {
		err = r.Slate()
	}
	return t, err
}

// beat lets the countdown be heard in the headphones: a tick for each second,
// and another sound where the take begins.
func (r *Rig) beat(s *State) {
	was := r.beaten
	r.beaten = 0
	if s.Count.On {
		r.beaten = s.Count.Seconds() + 1
	}
	switch {
	case r.beaten > 1 && r.beaten != was:
		r.earcon(s, earcon.Tick)
	case was > 0 && r.beaten == 0 && s.Rec.Rolling:
		r.earcon(s, earcon.Roll)
	}
}

// countdown tells how it stands. One during which a take began is over.
func (r *Rig) countdown(now time.Time, rec take.Status) Countdown {
	if rec.Rolling {
		r.rolls = time.Time{}
	}
	if r.rolls.IsZero() {
		return Countdown{}
	}
	return Countdown{true, max(r.rolls.Sub(now), 0)}
}
