package tui

import (
	"rollready/capture/mixer"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
)

// Line is the way to the camera while lining up.
type Line interface {
	Outputs() ([]Output, error)                // in commands
	Tone(output string, s tone.Settings) error // opens the output; the tone begins low and rises; in commands
	Set(s tone.Settings)                       // changes the tone that sounds; returns at once
	Sequence(output string) error              // opens the output and sends the sequence; in commands
	Stop()                                     // fades out and closes the output; in commands
	State() LineState                          // returns at once
	Volume(output string) mixer.Setting        // what the sound system does to all that goes to an output; returns at once
	Clip(path string) (lineup.Result, error)   // measures the camera's clip; in commands
}

// Output is a device to send to.
type Output struct {
	Choice  string // what Tone and Sequence take
	Name    string
	Detail  string // rates, channels, default
	Default bool
	InUse   bool // the camera is fed over it now
}

// LineState is what sounds. A plain value.
type LineState struct {
	Sounds    Sending
	Output    string        // name of the device; once sent, of the one it was sent to
	Volume    mixer.Setting // of what sounds, our own stream's with it; once sent, as it was then
	LevelDBFS float64       // of the tone, on its way to the one set
	Part      string        // of the sequence
	Seconds   float64       // of the sequence gone
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

// noLine stands where there is no way to a camera: nothing can be sent.
type noLine struct{}

func (noLine) Outputs() ([]Output, error)         { return nil, nil }
func (noLine) Tone(string, tone.Settings) error   { return errNoOutput }
func (noLine) Set(tone.Settings)                  {}
func (noLine) Sequence(string) error              { return errNoOutput }
func (noLine) Stop()                              {}
func (noLine) State() LineState                   { return LineState{} }
func (noLine) Volume(string) mixer.Setting        { return mixer.Setting{} }
func (noLine) Clip(string) (lineup.Result, error) { return lineup.Result{}, errNoOutput }
