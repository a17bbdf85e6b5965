package presets

import (
	"time"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/lineup"
	"rollready/dsp/strips"
)

// Preset is a named setting of one chain, or of strips with one each.
type Preset struct {
	Name   string
	Note   string
	Strips strips.Settings
}

// Chain is that of the first strip.
func (p Preset) Chain() chain.Settings { return p.Strips.Chain(0) }

// On puts a preset on strips. One of a single chain is for all of them while
// they are linked, else for one, from 0. Solo stays as it is.
func (p Preset) On(s strips.Settings, strip int) strips.Settings {
	if p.Strips.Unlinked {
		solo := s.Solo
		s = p.Strips
		s.Solo = solo
		return s
	}
	s.Set(strip, p.Chain())
	return s
}

// Camera is a camera profile: its scale, and the card a person reads before
// filming.
type Camera struct {
	Name          string
	Scale         camera.Scale
	LinedUp       time.Time      // zero: never
	LinedUpWith   Output         // at line-up
	LinedUpVolume Volume         // of that output in the sound system then
	LinedUpPreset string         // preset in use then
	LineUp        *lineup.Result // all that a clip told; nil: lined up by hand, or never
	MicLevel      string         // the mic-level setting to dial in, as the camera's menu words it
	Cable         string         // cable, pad, DC block
	Reminders     []string       // the user's own lines
	SkipCard      bool           // the reminder stays away at start
	FrameRate     float64        // pictures per second; 0: not told
}

// Settings is everything else that must be as it was at the next start.
type Settings struct {
	Input      string // "", part of a name, "id:BACKEND:ID", "file:PATH" or "demo"
	InputName  string // name of the input as last opened, to notice a replacement
	InputTwin  bool   // another of that name was there
	Channels   string // a capture.Pick
	Preset     string // name of the preset last taken; the chain may differ since
	CameraName string
	Strips     strips.Settings
	Strip      int      // the one chosen, from 0
	View       dsp.View // View.Camera is not kept: it comes from the camera profile
	Theme      string   // "night", "day", "mono"
	Screen     string   // the screen last open
	Recording  Recording

	Headphones    Output // to listen at; its level is never kept
	CameraOutput  Output // to the camera
	CompareA      string // presets on the two sides, "" for the chain in use
	CompareB      string
	EqualLoudness bool // comparing, the louder side is lowered for the ear
	CountdownS    int  // before a take, 0 or 3…30 seconds
	CountdownTone bool // the slate tone sounds where a countdown ends
	StopSilenceS  int  // a take ends after so many seconds without the voice that spoke in it, 5…60; 0: never
	FarView       bool // comes by itself while a take rolls and nobody presses a key
	Alerts        Alerts
	Viewers       string // what those may who look over SSH: one of Viewers
}

// Chain is that of the chosen strip.
func (s *Settings) Chain() chain.Settings { return s.Strips.Chain(s.Strip) }

// Recording says how and where takes are recorded.
type Recording struct {
	Dir        string  // folder of the takes, "" for DefaultTakes
	Scene      string  // of the next take
	Encoding   string  // "16", "24" bits or "float"
	NoInput    bool    // leave out the raw input tracks
	Safety     bool    // add the output 10 dB lower
	PreRecordS float64 // seconds kept from before the key, at most MaxPreRecordS
	Names      string  // pattern of the files' names, "" for the usual one
	SilenceS   float64 // alarm after so many seconds without sound while a take rolls; 0: never
	DiskMin    float64 // alarm when there is room for fewer minutes; 0: never
}
