package presets

import (
	"errors"
	"fmt"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"rollready/dsp"
	"rollready/dsp/strips"
)

// The themes a screen may have, the first being the default.
var themes = []string{"night", "day", "mono"}

// settingsForm is Settings on disk.
type settingsForm struct {
	Version       int    `toml:"version"`
	Input         string `toml:"input"`
	InputName     string `toml:"input_name"`
	InputTwin     bool   `toml:"input_twin,omitempty" comment:"another of that name was there"`
	Channels      string `toml:"channels"`
	Preset        string `toml:"preset"`
	Camera        string `toml:"camera"`
	Theme         string `toml:"theme"`
	Screen        string `toml:"screen"`
	Headphones    string `toml:"headphones"`
	HeadphonesID  string `toml:"headphones_id,omitempty"`
	PhonesTwin    bool   `toml:"headphones_twin,omitempty" comment:"another of that name was there"`
	CameraOutput  string `toml:"camera_output"`
	CameraID      string `toml:"camera_output_id,omitempty"`
	CameraTwin    bool   `toml:"camera_output_twin,omitempty" comment:"another of that name was there"`
	CompareA      string `toml:"compare_a"`
	CompareB      string `toml:"compare_b"`
	EqualLoudness bool   `toml:"equal_loudness"`
	FarView       bool   `toml:"far_view"`
	CountdownS    int    `toml:"countdown_s"`
	CountdownTone bool   `toml:"countdown_slate"`
	StopSilenceS  int    `toml:"stop_silence_s" comment:"0: never"`
	Viewers       string `toml:"viewers" comment:"over SSH may look, mark or roll"`

	Strip int       `toml:"strip,omitempty"` // the one chosen, from 0
	Chain chainForm `toml:"chain"`
	View  viewForm  `toml:"view"`
	Takes takesForm `toml:"takes"`

	Alerts alertsForm `toml:"alerts"`
	Strips stripsForm `toml:"strips,omitempty"`
}

// viewForm is dsp.View on disk. HoldS may be inf.
type viewForm struct {
	HoldS       float64 `toml:"hold_s"`
	Ballistics  string  `toml:"ballistics"`
	BandTap     string  `toml:"band_tap"`
	BandChannel string  `toml:"band_channel"`
	BandTime    string  `toml:"band_time"`
}

var bandChannels = map[dsp.BandChannel]string{dsp.Sum: "sum", 0: "1", 1: "2", 2: "3", 3: "4"}

func encodeSettings(s Settings) ([]byte, error) {
	v := s.View
	return toml.Marshal(settingsForm{version, s.Input, s.InputName, s.InputTwin, s.Channels, s.Preset, s.CameraName, s.Theme, s.Screen,
		s.Headphones.Name, s.Headphones.Key, s.Headphones.Twin, s.CameraOutput.Name, s.CameraOutput.Key, s.CameraOutput.Twin, s.CompareA, s.CompareB, s.EqualLoudness, s.FarView, s.CountdownS, s.CountdownTone, s.StopSilenceS, s.Viewers,
		s.Strip, formOfChain(s.Strips.Chain(0)),
		viewForm{v.HoldSeconds, string(v.Ballistics), string(v.BandTap), bandChannels[v.BandChannel], string(v.BandTime)},
		formOfTakes(s.Recording), formOfAlerts(s.Alerts), formOfStrips(s.Strips)})
}

func decodeSettings(raw []byte) (Settings, error) {
	d := DefaultSettings()
	f := settingsForm{Theme: d.Theme, Viewers: d.Viewers, Preset: d.Preset, Camera: d.CameraName, EqualLoudness: d.EqualLoudness, Chain: formOfChain(d.Chain()),
		View: viewForm{d.View.HoldSeconds, string(d.View.Ballistics), string(d.View.BandTap),
			bandChannels[d.View.BandChannel], string(d.View.BandTime)}, Takes: formOfTakes(d.Recording), Alerts: formOfAlerts(d.Alerts)}
	if err := unmarshal(raw, &f, &f.Version); err != nil {
		return Settings{}, err
	}
	c, errChain := f.Strips.strips(f.Chain)
	view, errView := f.View.view()
	alerts, errAlerts := f.Alerts.alerts()
	s := Settings{Input: f.Input, InputName: f.InputName, InputTwin: f.InputTwin, Channels: f.Channels, Preset: f.Preset,
		CameraName: f.Camera, Strips: c, Strip: f.Strip, View: view, Theme: f.Theme, Screen: f.Screen, Recording: f.Takes.recording(),
		Headphones: Output{f.Headphones, f.HeadphonesID, f.PhonesTwin}, CameraOutput: Output{f.CameraOutput, f.CameraID, f.CameraTwin},
		CompareA: f.CompareA, CompareB: f.CompareB, EqualLoudness: f.EqualLoudness, FarView: f.FarView, CountdownS: f.CountdownS,
		CountdownTone: f.CountdownTone, StopSilenceS: f.StopSilenceS, Viewers: f.Viewers, Alerts: alerts}
	return s, errors.Join(errChain, checkChosen(f.Strip), errView, errAlerts, checkSeconds("countdown_s", f.CountdownS, 3, 30),
		checkSeconds("stop_silence_s", f.StopSilenceS, MinStopSilenceS, MaxStopSilenceS), s.Recording.check(), oneOf("theme", f.Theme, themes...), oneOf("viewers", f.Viewers, Viewers[:]...),
		checkTexts(maxText, f.Preset, f.Camera, f.Screen, f.Channels, f.CompareA, f.CompareB), checkTexts(maxPath, f.Input, f.InputName), s.Headphones.check(), s.CameraOutput.check())
}

func (f viewForm) view() (dsp.View, error) {
	v := dsp.DefaultView()
	v.HoldSeconds, v.Ballistics = f.HoldS, dsp.Ballistics(f.Ballistics)
	v.BandTap, v.BandTime = dsp.Tap(f.BandTap), dsp.TimeWeighting(f.BandTime)
	found := false
	for channel, name := range bandChannels {
		if name == f.BandChannel {
			v.BandChannel, found = channel, true
		}
	}
	var err error
	if !found {
		err = fmt.Errorf("band_channel %q: choose sum, 1, 2, 3 or 4", f.BandChannel)
	}
	if !(f.HoldS >= 0) {
		err = errors.Join(err, fmt.Errorf("hold_s %g: choose 0 s or more", f.HoldS))
	}
	return v, errors.Join(err,
		oneOf("ballistics", v.Ballistics, dsp.DigitalPeak, dsp.PPMTypeI, dsp.PPMTypeII, dsp.VU),
		oneOf("band_tap", v.BandTap, dsp.TapInput, dsp.TapOutput),
		oneOf("band_time", v.BandTime, dsp.Fast, dsp.Slow))
}

// oneOf tells whether a word is among the allowed.
func oneOf[T ~string](what string, word T, allowed ...T) error {
	if slices.Contains(allowed, word) {
		return nil
	}
	return fmt.Errorf("%s %q: choose one of %q", what, word, allowed)
}

// Bounds of Settings.StopSilenceS: what is quiet for so long stays in the take,
// as its tail.
const (
	MinStopSilenceS = 5
	MaxStopSilenceS = 60
)

func checkChosen(strip int) error {
	if strip >= 0 && strip < strips.Max {
		return nil
	}
	return fmt.Errorf("strip %d: choose 0 to %d", strip, strips.Max-1)
}

// checkSeconds tells whether a time is none, or within bounds.
func checkSeconds(what string, seconds, least, most int) error {
	if seconds == 0 || seconds >= least && seconds <= most {
		return nil
	}
	return fmt.Errorf("%s %d: choose 0, or %d to %d seconds", what, seconds, least, most)
}
