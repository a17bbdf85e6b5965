// Package preroll judges, before the camera rolls, whether a voice and the
// room around it will be recorded well, and recommends settings.
//
// A Check hears some seconds of room tone, then some seconds of voice. Guide
// leads a person through both live; Parts finds both in a recording. All of it
// counts frames: no clock, no device, no screen.
//
// # People
//
// Where each channel is a person's own, they speak in turn: whose turn it is says
// whose voice it is, whatever the gains are. Each is judged alone in the own
// microphone, then what is between them: Turns.
package preroll

import (
	"math"

	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/figure"
	"rollready/dsp/heard"
	"rollready/dsp/verdict"
)

// Setup is what the measured sound is judged against.
type Setup struct {
	Chain    chain.Settings // as set now
	Camera   camera.Scale
	Dropouts int64                            // losses the source reported meanwhile
	Muted    bool                             // no microphone is sent anywhere
	Summed   func(chains []float32) []float32 // makes the camera's two channels where it does not get the channels as they are; nil: it does
	People   []verdict.Person                 // of every channel, with chains of their own: who speaks in turn; none: one voice in all channels
	unquiet  bool                             // the room's part was no quiet
}

// Check collects the measures. One goroutine uses it; it allocates, and a
// block may take a millisecond: not for the audio thread.
type Check struct {
	rateHz, channels int
	setup            Setup
	gainDB           figure.Figure // measured behind the recommended high-pass; NaN: estimated

	roomFrames, voiceFrames float64
	inputs                  *heard.Input
	room                    *room
	voice                   *voice
}

// New makes a check of interleaved input frames of 1 or 2 channels, as they
// come from the interface, before the chain.
func New(rateHz, channels int, setup Setup) *Check {
	return &Check{rateHz: rateHz, channels: channels, setup: setup, gainDB: figure.Figure(math.NaN()),
		inputs: heard.NewInput(rateHz, channels), room: newRoom(rateHz, channels, setup.Chain)}
}

// RoomTone takes frames of the quiet room. All room tone comes before the voice.
func (c *Check) RoomTone(block []float32) {
	c.roomFrames += float64(len(block) / c.channels)
	c.inputs.Process(block)
	c.room.process(block)
}

// Voice takes frames of the voice as it will speak.
func (c *Check) Voice(block []float32) {
	if c.voice == nil {
		c.inputs.Splice() // it may be of another time
		c.room.finish(c.inputs.Level)
		c.voice = newVoice(c.rateHz, c.channels, c.setup, c.room)
	}
	c.voiceFrames += float64(len(block) / c.channels)
	c.inputs.Process(block)
	c.voice.process(block)
}

// Rest takes frames that are neither: a buzz that comes and goes may be there.
// The voice comes before.
func (c *Check) Rest(block []float32) { c.voice.low.Rest(block) }
