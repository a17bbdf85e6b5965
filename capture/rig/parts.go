package rig

import (
	"time"

	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/compare"
	"rollready/dsp/earcon"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
	"rollready/dsp/strips"
	"rollready/dsp/verdict/live"
	"rollready/presets"
)

// Engine is what is metered: *session.Session is one. Every call returns at
// once and may come at any time.
type Engine interface {
	Reading() dsp.Reading
	Status() session.Status
	SetStrips(strips.Settings)
	SetView(dsp.View)
	ResetHolds()
	// Follow says how often a second a face looks, and gives the channel that
	// gets a word when there is something new; nil: look by the clock.
	Follow(perSecond int) <-chan struct{}
}

// Recorder records the takes and keeps them; *deck.Deck is one. It never waits
// for a face: a terminal that hangs costs no sound.
type Recorder interface {
	// These return at once.
	Status() take.Status
	Here() int64 // place of the sound that comes now
	MarkAt(at int64, text string)
	Note(text string) // of the rolling take
	Slate()
	SetCamera(camera.Scale)
	Folder() string

	// These may wait for the disk.
	Roll(take.What) (take.Take, error)
	Stop() (take.Take, error)
	Set(presets.Recording) error
	Next(scene string) int // number of the next take
	Takes() ([]take.Found, error)
	Mend() ([]take.Recovered, error)
	Change(wav string, alter func(*take.Take)) (take.Take, error)
	Delete(wav string) (take.Deleted, error)
	Undo(take.Deleted) error
	Report(day time.Time) (page string, err error)
}

// Place is what an output is for.
type Place int

// The places: where the person listens, and the way to the camera.
const (
	Headphones Place = iota
	CameraInput
)

// Sound is the ways out. Every call but Use returns at once.
type Sound interface {
	// Status gives the state of a way, false where none is chosen.
	Status(Place) (output.Status, bool)
	// SetMute, SetLevel, Hear and Earcon act on the headphones; without them
	// they do nothing.
	SetMute(on bool)
	SetLevel(levelDB float64)
	Hear(output.Source)
	Earcon(earcon.Kind)
	// Compare begins a comparison. One runs at a time; it must be closed.
	Compare(a, b strips.Settings, v dsp.View) Bench
	// Use opens an output for a place, "" closes it. The one before stays where
	// the new one can't be opened. It may take seconds.
	Use(place Place, choice string) error
}

// Bench is a running comparison; *ab.Bench is one. Every call returns at once,
// but for Capture, which may take tenths of a second.
type Bench interface {
	State() ab.State
	Set(compare.Side, strips.Settings)
	SetView(dsp.View)
	SetMatch(on bool)
	Capture() error
	PlayPhrase(on bool)
	Close()
}

// Checker is a guided check that runs; *guided.Check is one.
type Checker interface {
	Progress() guided.Progress // returns at once
	Repeat(guided.Step)
	Result(guided.Setup) (guided.Outcome, error)
	End() // returns at once
}

// Line sends the line-up's own sounds to the camera, past the chain.
type Line interface {
	// These may take seconds.
	Outputs() ([]Device, error)
	Tone(output string, s tone.Settings) error // opens the output; the tone begins low and rises
	Sequence(output string) error              // opens the output and sends the sequence
	Stop()                                     // fades out and closes the output
	Clip(path string) (lineup.Result, error)   // measures the camera's clip

	// These return at once.
	Set(s tone.Settings) // changes the tone that sounds
	State() LineState
	Volume(output string) mixer.Setting // what the sound system does to all that goes to an output
}

// Device is one input or output to choose from.
type Device struct {
	Choice  string // what Switch, Use, Tone and Sequence take
	Name    string
	Detail  string // rates, channels, default
	Default bool
	Twin    bool   // another of its name is there
	Mark    string // tells it from that
	InUse   bool   // the camera is fed over it now
}

// Called is its name, and what tells it from another of that name.
func (d Device) Called() string { return session.Called(d.Name, d.Mark) }

// Output names an output, as it is kept.
func (d Device) Output() presets.Output {
	return presets.Output{Name: d.Name, Key: d.Choice, Twin: d.Twin}
}

// LineState is what sounds. A plain value.
type LineState struct {
	Sounds    Sending
	Output    presets.Output // once sent, the one it was sent to
	Volume    mixer.Setting  // of what sounds, our own stream's with it; once sent, as it was then
	LevelDBFS float64        // of the tone, on its way to the one set
	Part      string         // of the sequence
	Seconds   float64        // of the sequence gone
	Of        float64
	Sent      bool   // the sequence went out to its end
	Fault     string // why it ended, "" if it was stopped or ended well
}

// Sending is what is sent.
type Sending int

// The sounds.
const (
	Quiet Sending = iota
	ToneSounds
	SequenceSounds
)

// Parts is what a rig is put together from. Open makes them of real devices;
// tests hand in their own.
type Parts struct {
	Engine   Engine
	Recorder Recorder
	Sound    Sound
	Line     Line
	Check    func(who ...int) Checker // begins a guided check, in which the people of these channels speak in turn; returns at once
	Go       func(f func())           // starts goroutines whose panics end the program in order

	Store    *presets.Store  // presets and camera profiles
	Keeper   *presets.Keeper // takes every change of the settings; nil: they are not kept
	Settings presets.Settings
	Camera   presets.Camera // the profile Settings.CameraName names
	Preset   presets.Preset // the preset Settings.Preset names; without a name where it is gone

	Inputs  func() ([]Device, error) // to choose from
	Outputs func() ([]Device, error)
	Switch  func(input, channels string) error // changes to another input
	Stand   func(open session.Opener) error    // lets another source stand in for it
	Battery func() power.Battery
	Now     func() time.Time // for the age of a line-up or a check

	Deaf bool // there are no ways out, and nobody expects any

	Judge func(dsp.Reading, live.Situation) live.Judgement // nil: the usual judge
}
