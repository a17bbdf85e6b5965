package tui

import (
	"math"

	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/compare"
)

// OutputPlace is what an output is for.
type OutputPlace int

// The places: where the person listens, and the way to the camera.
const (
	Headphones OutputPlace = iota
	CameraInput
)

// Sound is the way out as the screens see it. Every call returns at once.
type Sound interface {
	// Status gives the state of a way, false where none is chosen.
	Status(OutputPlace) (output.Status, bool)
	// SetMute, SetLevel and Hear act on the headphones; without them they do
	// nothing.
	SetMute(on bool)
	SetLevel(levelDB float64)
	Hear(output.Source)
	// Compare begins a comparison. One runs at a time; it must be closed.
	Compare(a, b chain.Settings, v dsp.View) Bench
}

// Bench is a running comparison; *ab.Bench is one. Every call returns at
// once, but for Capture: it belongs in a command.
type Bench interface {
	State() ab.State
	Set(compare.Side, chain.Settings)
	SetView(dsp.View)
	SetMatch(on bool)
	Capture() error
	PlayPhrase(on bool)
	Close()
}

// sounding is what the desk knows of the ways out.
type sounding struct {
	phones, toCamera     output.Status // for figures, some times a second
	hasPhones, hasCamera bool
	reducedDB            float64 // the most that the limiter took within that time
}

// levelStepDB is how far a key or a turn of the wheel changes the level.
const levelStepDB = 2.0

// listen takes the newest state of the ways. What must be seen at once, a
// mute or a loss, is; figures keep still for a quarter second.
func (d *Desk) listen() {
	phones, ok := d.opt.Sound.Status(Headphones)
	toCamera, okCamera := d.opt.Sound.Status(CameraInput)
	d.reducedDB = max(d.reducedDB, d.Status.ReductionDB)
	if d.frames%(framesPerSecond/4) != 0 {
		keepFigures(&phones, d.phones)
		keepFigures(&toCamera, d.toCamera)
	} else {
		d.reducedDB = d.Status.ReductionDB
	}
	d.phones, d.hasPhones = phones, ok
	d.toCamera, d.hasCamera = toCamera, okCamera
}

func keepFigures(s *output.Status, before output.Status) {
	if s.Device == before.Device {
		s.DelayMS, s.DriftPPM = before.DelayMS, before.DriftPPM
	}
}

// soundKey answers the keys of the headphones, which mean the same on every
// screen.
func (d *Desk) soundKey(key string) {
	_, ok := d.opt.Sound.Status(Headphones)
	switch {
	case !ok:
		d.Say("No headphones: choose an output in Setup")
	case key == "0":
		d.toggleMute()
	case key == ",":
		d.stepLevel(-1)
	case key == ".":
		d.stepLevel(1)
	}
}

// toggleMute: after a howl the sound comes back low.
func (d *Desk) toggleMute() {
	now, _ := d.opt.Sound.Status(Headphones)
	mute := !now.Muted
	if now.Alarm != "" {
		d.opt.Sound.SetLevel(min(now.LevelDB, output.StartLevelDB))
	}
	d.opt.Sound.SetMute(mute)
	if mute {
		d.Say("Headphones muted; 0 lets them be heard")
		return
	}
	d.Say("Headphones fade in; , softer, . louder. Loud sound harms hearing: go up slowly")
}

func (d *Desk) stepLevel(n int) {
	now, _ := d.opt.Sound.Status(Headphones)
	to := min(max(math.Round(now.LevelDB)+float64(n)*levelStepDB, output.MinLevelDB), 0)
	d.opt.Sound.SetLevel(to)
	text := "Headphones at " + figureInt(int(to)) + " dB"
	if now.Muted {
		text += ", muted: 0 lets them be heard"
	}
	d.Say(text)
}

// frameRate is the camera's pictures per second; 25 while nobody told.
func (d *Desk) frameRate() float64 {
	if hz := d.Camera.FrameRate; hz > 0 {
		return hz
	}
	return defaultFrameRate
}

const defaultFrameRate = 25
