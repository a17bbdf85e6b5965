package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture/power"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/presets"
	"rollready/tui/terminal"
)

// Engine is the running session as the screens see it. Every call returns at
// once and may come at any time.
type Engine interface {
	Reading() dsp.Reading
	Status() session.Status
	SetChain(chain.Settings)
	SetView(dsp.View)
	ResetHolds()
}

// Device is one input or output to choose from.
type Device struct {
	Input  string // what Switch takes, or UseOutput
	Name   string
	Detail string // rates, channels, default
}

// Options is what the program needs. Functions are called in commands, off
// the program's goroutine, unless said otherwise.
type Options struct {
	Engine   Engine
	Recorder Recorder
	Terminal *terminal.Terminal
	Go       func(f func())  // starts goroutines whose panics end the program in order
	Store    *presets.Store  // presets and camera profiles
	Keeper   *presets.Keeper // takes every change of the settings
	Settings presets.Settings
	Camera   presets.Camera // the profile Settings.CameraName names
	Preset   presets.Preset // the preset Settings.Preset names; without a name where it is gone

	Sound     Sound
	Outputs   func() ([]Device, error)                     // outputs to choose from
	UseOutput func(place OutputPlace, choice string) error // "" for none

	Devices func() ([]Device, error)           // inputs to choose from
	Switch  func(input, channels string) error // changes to another input
	Battery func() power.Battery               // read every half minute
	Now     func() time.Time                   // for the age of a line-up

	Check func() Checker // begins a guided check; on the program's goroutine, returns at once
	Line  Line           // the way to the camera while lining up

	Notices []string // what the user must know at the start
	NoColor bool     // mono, whatever the settings say

	// In tests: what drives the frames, and what is advised.
	clock  tea.Cmd
	advise func(dsp.Reading, chain.Settings, camera.Scale) advice.Advice
}
