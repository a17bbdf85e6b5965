package rig

import (
	"time"

	"rollready/capture"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/session"
	"rollready/dsp/camera"
	"rollready/dsp/preroll"
	"rollready/dsp/strips"
	"rollready/presets"
)

// Check is where the guided check stands. A plain value.
type Check struct {
	Running  bool             // the guide still leads, or judges
	Judging  bool             // a result is being worked out
	Progress guided.Progress  // of the guide, while Running
	Due      bool             // all is heard: Judge
	Stale    bool             // what was heard could be judged anew with other settings: Judge
	Undo     *strips.Settings // the strips before what suits was applied, nil: it was not
}

// Checked is the last check. It holds for the input it was made with.
type Checked struct {
	guided.Outcome
	At     time.Time
	By     strips.Settings // judged with these
	Camera camera.Scale
	input  inputKey
}

// inputKey tells one input from another.
type inputKey struct {
	source       string
	kind         capture.Kind
	hz, channels int
	picked       string
	apart        bool // each strip is set by itself
}

func keyOf(s session.Status, set presets.Settings) inputKey {
	return inputKey{s.Called(), s.Kind, s.SourceHz, s.Channels, set.Channels, set.Strips.Unlinked}
}

// Changed tells that strips or camera are no longer those it was judged with.
func (s *State) Changed(c *Checked) bool {
	return c.By != judgedBy(s.Settings.Strips) || c.Camera != s.Camera.Scale
}

// judgedBy gives what a check goes by: not what only the headphones get.
func judgedBy(s strips.Settings) strips.Settings {
	s.Solo, s.Ears = 0, ""
	return s
}

// Recommended is the strips with what the last check recommends, false where it
// recommends nothing.
func (s *State) Recommended() (to strips.Settings, ok bool) {
	to = s.Settings.Strips
	if s.Checked == nil {
		return to, false
	}
	for _, one := range s.Checked.Strips {
		if r := one.Recommend; r.OutputGainDB.Known() {
			c := &to.Strips[one.Strip-1].Chain
			c.GainDB, c.HighPass, ok = float64(r.OutputGainDB), r.HighPass, true
		}
	}
	if r := s.Checked.Recommend; len(s.Checked.Strips) == 0 && r.OutputGainDB.Known() {
		c := s.Settings.Chain()
		c.GainDB, c.HighPass = float64(r.OutputGainDB), r.HighPass
		to.Set(s.Settings.Strip, c)
		return to, true
	}
	return to, ok
}

// check is the guided check as the rig leads it. Guarded by the rig's mu.
type check struct {
	run     Checker // nil: none
	fresh   bool    // its result is still to come, or to come anew
	judging bool
	asked   int // number of the newest question to it
	before  *strips.Settings
}

func (c *check) running() bool { return c.run != nil && c.fresh }

func (c *check) stop() {
	if c.run != nil {
		c.run.End()
	}
	c.run, c.fresh, c.judging = nil, false, false
	c.asked++
}

func (c *check) state(s *State) (now Check) {
	if c.run != nil && !c.fresh && !c.judging && s.Checked == nil { // another input
		c.stop()
	}
	now.Running, now.Judging, now.Undo = c.running(), c.judging, c.before
	if c.run == nil {
		return now
	}
	now.Progress = c.run.Progress()
	now.Due = c.fresh && !c.judging && now.Progress.Step == preroll.Done
	now.Stale = !c.fresh && !c.judging && s.Checked != nil && s.Changed(s.Checked)
	return now
}

// BeginCheck begins a check, or begins it anew once it is done. One that is
// half heard goes on.
func (r *Rig) BeginCheck() error {
	status := r.parts.Engine.Status()
	r.mu.Lock()
	defer r.mu.Unlock()
	switch {
	case r.check.running():
		return nil
	case r.parts.Check == nil || status.Lost || status.Fault != "":
		return Refusal("Nothing comes in: choose the input in Setup")
	}
	r.check.stop()
	now := State{Settings: r.settings, Status: status}
	r.check.run, r.check.fresh = r.parts.Check(channels(now.Turns())...), true
	return nil
}

// RepeatCheck begins a step anew; without a check it begins one. It may wait
// some milliseconds.
func (r *Rig) RepeatCheck(step guided.Step) error {
	r.mu.Lock()
	run, judging := r.check.run, r.check.judging
	r.mu.Unlock()
	switch {
	case run == nil:
		return r.BeginCheck()
	case judging, step == preroll.Speak && run.Progress().Step == preroll.Quiet:
		return nil
	}
	run.Repeat(step)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.check.fresh = r.check.run == run
	return nil
}

// LeaveCheck breaks off a check that is not done, and tells whether one ran.
func (r *Rig) LeaveCheck() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.check.running() {
		return false
	}
	r.check.stop()
	return true
}

// Judge begins to judge what was heard with the present settings; wait does
// it, some tenths of a second long, and gives the error to show. Without
// anything heard wait is nil.
func (r *Rig) Judge() (wait func() error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	run := r.check.run
	if run == nil {
		return nil
	}
	r.check.asked++
	r.check.judging = true
	asked, set := r.check.asked, r.settings.Strips
	picked := r.parts.Engine.Status().Picked
	heard := set.Fit(picked.Count)
	setup := guided.Setup{Chain: r.settings.Chain(), Camera: r.camera.Scale, People: People(set, picked), Muted: heard.AllMuted(), Summed: heard.Summed()}
	return func() error {
		outcome, err := run.Result(setup)
		status := r.parts.Engine.Status()
		r.mu.Lock()
		defer r.mu.Unlock()
		if asked != r.check.asked { // asked anew, or left
			return nil
		}
		return r.judged(judgedBy(set), setup.Camera, outcome, err, status)
	}
}

func (r *Rig) judged(by strips.Settings, scale camera.Scale, outcome guided.Outcome, err error, status session.Status) error {
	r.check.judging = false
	if err != nil {
		r.check.stop()
		return err
	}
	at := r.parts.Now()
	if !r.check.fresh && r.checked != nil { // judged anew, not heard anew
		at = r.checked.At
	}
	if r.check.fresh {
		r.check.before = nil
	}
	r.check.fresh = false
	r.checked = &Checked{outcome, at, by, scale, keyOf(status, r.settings)}
	return nil
}

// ApplyCheck sets the chain as the last check recommends. Judge anew after it.
func (r *Rig) ApplyCheck() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.check.running() || r.check.judging {
		return Refusal("The check still judges: wait for it")
	}
	s := State{Settings: r.settings, Checked: r.checked}
	to, ok := s.Recommended()
	switch {
	case !ok:
		return Refusal("Nothing to apply: without a voice there is no recommendation")
	case to == r.settings.Strips:
		return Refusal("The chain is set as recommended already")
	}
	was := r.settings.Strips
	if err := r.setStrips(to); err != nil {
		return err
	}
	r.check.before = &was
	return nil
}

// UndoCheck sets the chain as it was before ApplyCheck.
func (r *Rig) UndoCheck() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.check.before == nil || r.check.running() || r.check.judging {
		return Refusal("Nothing to undo")
	}
	if err := r.setStrips(*r.check.before); err != nil {
		return err
	}
	r.check.before = nil
	return nil
}
