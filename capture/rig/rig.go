package rig

import (
	"sync"
	"time"

	"rollready/capture/power"
	"rollready/capture/rig/alert"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/lineup/tone"
	"rollready/dsp/strips"
	"rollready/dsp/verdict/live"
	"rollready/presets"
)

// Rig is the running whole. All methods may be called from any goroutine but
// the audio threads. Those that may wait for a device or the disk say so; all
// others return at once.
type Rig struct {
	parts *Parts

	saving sync.Mutex // held while a camera profile is written, before mu

	mu       sync.Mutex // guards all below
	settings presets.Settings
	camera   presets.Camera
	taken    strips.Settings // as the preset last taken set them
	mixed    bool
	frames   int64 // metered when last looked
	battery  power.Battery
	check    check
	checked  *Checked
	playing  *Playing
	line     lineUp
	opened   closers
	unlocked string    // path of the take in which the chain may be changed
	seen     string    // the failure of a take that the user has seen
	rolls    time.Time // when the countdown ends, zero: there is none
	tell     func(alert.Alert)
	play     func() // lets a file begin to play, nil: it does or there is none

	watch  alert.Watch // these are tend's own
	beaten int         // seconds of the countdown that were heard, and one; 0: none runs
	pause  pause
}

// New makes a rig of parts that run already.
func New(p *Parts) *Rig {
	if p.Judge == nil {
		p.Judge = live.New().Judge
	}
	if p.Line == nil {
		p.Line = noLine{}
	}
	r := &Rig{parts: p, settings: p.Settings, camera: p.Camera, taken: p.Settings.Strips}
	r.settings.View.Camera = p.Camera.Scale
	if p.Preset.Name != "" {
		r.taken = p.Preset.On(r.settings.Strips, r.settings.Strip)
	}
	r.line.tone = tone.Default
	p.Engine.SetStrips(r.settings.Strips)
	p.Engine.SetView(r.settings.View)
	return r
}

// Store holds presets and camera profiles.
func (r *Rig) Store() *presets.Store { return r.parts.Store }

// Recorder lists and changes takes; those that roll are begun and ended by
// Roll and Stop.
func (r *Rig) Recorder() Recorder { return r.parts.Recorder }

// Follow says how often a second a face asks for the state, and gives the
// channel that gets a word when there is a new one; nil: there is none, and the
// face goes by its own clock. One face at a time.
func (r *Rig) Follow(perSecond int) <-chan struct{} { return r.parts.Engine.Follow(perSecond) }

// Inputs lists the inputs to choose from. It may take seconds.
func (r *Rig) Inputs() ([]Device, error) { return r.parts.Inputs() }

// Outputs lists the outputs to choose from. It may take seconds.
func (r *Rig) Outputs() ([]Device, error) { return r.parts.Outputs() }

// ReadBattery looks at the battery, for states to come. It may take a moment.
func (r *Rig) ReadBattery() {
	b := r.parts.Battery()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.battery = b
}

// SetChain changes the chain of the chosen strip, of linked ones of all: heard
// at once, kept within a second. While a take rolls it is locked until Unlock.
func (r *Rig) SetChain(c chain.Settings) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.setChain(c)
}

// SetStrips changes the strips, as SetChain does. What only the headphones hear
// is never locked; where strips go is, as long as the take rolls.
func (r *Rig) SetStrips(s strips.Settings) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.setStrips(s)
}

// setStrips: with mu held, as all that begin with a small letter and change r.
func (r *Rig) setStrips(s strips.Settings) error {
	was, now := r.settings.Strips, r.parts.Recorder.Status()
	if s == was {
		return nil
	}
	if sent := s.Sent(); sent != was.Sent() {
		switch {
		case now.Rolling && s.Route != was.Route:
			return Refusal("A take is rolling: stop it before the microphones go elsewhere")
		case r.locked(now):
			return Refusal("Locked while the take rolls: ctrl-g unlocks gain and filters")
		}
		r.mixed = r.mixed || r.frames > 0 && r.plays()
	}
	r.settings.Strips = s
	r.parts.Engine.SetStrips(r.heard())
	r.keep()
	return nil
}

// locked tells that the chain must not be turned by accident: a take rolls, and
// nobody unlocked it for that take.
func (r *Rig) locked(now take.Status) bool { return now.Rolling && r.unlocked != now.Take.Path }

// Unlock lets the chain be changed while the present take rolls, or locks it
// again, and tells whether it is locked now. Without a take nothing is.
func (r *Rig) Unlock() (locked bool) {
	now := r.parts.Recorder.Status()
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.locked(now) {
		r.unlocked = now.Take.Path
		return false
	}
	r.unlocked = ""
	return now.Rolling
}

// ResetHolds begins holds, counts and loudness anew.
func (r *Rig) ResetHolds() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.resetHolds()
}

func (r *Rig) resetHolds() {
	r.mixed = false
	r.parts.Engine.ResetHolds()
}

// SetView changes how the meters are read. Its scale is the camera's.
func (r *Rig) SetView(v dsp.View) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.setView(v)
}

func (r *Rig) setView(v dsp.View) {
	v.Camera = r.camera.Scale
	r.settings.View = v
	r.parts.Engine.SetView(v)
	r.keep()
}

// SetCamera takes another camera profile, or a changed one; SaveCamera keeps it.
func (r *Rig) SetCamera(c presets.Camera) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.setCamera(c)
}

func (r *Rig) setCamera(c presets.Camera) {
	r.camera, r.settings.CameraName = c, c.Name
	r.parts.Recorder.SetCamera(c.Scale)
	r.setView(r.settings.View)
}

// SaveCamera writes the profile in use, as it is now. It waits for the disk.
func (r *Rig) SaveCamera() error {
	r.saving.Lock()
	defer r.saving.Unlock()
	r.mu.Lock()
	c := r.camera
	r.mu.Unlock()
	return r.parts.Store.Cameras.Save(c)
}

// UsePreset puts a preset into use.
func (r *Rig) UsePreset(p presets.Preset) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := r.setStrips(p.On(r.settings.Strips, r.chosen())); err != nil {
		return err
	}
	r.taken, r.settings.Preset = r.settings.Strips, p.Name
	r.keep()
	return nil
}

// PresetIs says what the preset of a name holds, as read or written: that in
// use has changed where the chain is no longer the same.
func (r *Rig) PresetIs(p presets.Preset) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if p.Name == r.settings.Preset {
		r.taken = p.On(r.settings.Strips, r.chosen())
	}
}

// PresetRenamed follows a preset to its new name.
func (r *Rig) PresetRenamed(from, to string) {
	r.Change(func(s *presets.Settings) {
		for _, name := range []*string{&s.CompareA, &s.CompareB, &s.Preset} {
			if *name == from {
				*name = to
			}
		}
	})
}

// Change alters settings that need nothing but to be kept: what is open, the
// theme, marks, names.
func (r *Rig) Change(alter func(s *presets.Settings)) {
	r.mu.Lock()
	defer r.mu.Unlock()
	alter(&r.settings)
	r.keep()
}

func (r *Rig) keep() {
	if r.parts.Keeper != nil {
		r.parts.Keeper.Set(r.settings)
	}
}

// Refusal is why something can't be done now, where nothing is wrong.
type Refusal string

// Error gives the words.
func (r Refusal) Error() string { return string(r) }

// KeepingErr is why the settings could not be kept, nil if they could.
func (r *Rig) KeepingErr() error {
	if r.parts.Keeper == nil {
		return nil
	}
	return r.parts.Keeper.Err()
}
