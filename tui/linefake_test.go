package tui

import (
	"errors"
	"sync"

	"rollready/capture/rig"

	"rollready/capture/mixer"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
	"rollready/presets"
)

// fakeLine is a way to a camera that only notes what is asked of it.
type fakeLine struct {
	mu      sync.Mutex
	state   rig.LineState
	tone    tone.Settings
	stops   int
	clips   map[string]lineup.Result
	volume  mixer.Setting // of the USB interface
	outputs []rig.Device  // nil: the usual two
}

func (l *fakeLine) Outputs() ([]rig.Device, error) {
	if l.outputs != nil {
		return l.outputs, nil
	}
	return []rig.Device{{Choice: "bt", Name: "Wireless headphones", Detail: "48 kHz, 2 channels"}, {Choice: "usb", Name: "USB interface", Detail: "48 kHz, 2 channels, default", Default: true}}, nil
}

func (l *fakeLine) Tone(output string, s tone.Settings) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if output == "bt" {
		return errors.New("open output \"Wireless headphones\": device busy: is another program using it?")
	}
	l.tone, l.state = s, rig.LineState{Sounds: rig.ToneSounds, Output: presets.Output{Name: "USB interface"}, LevelDBFS: s.LevelDBFS}
	return nil
}

func (l *fakeLine) Set(s tone.Settings) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.tone = s
	if l.state.Sounds == rig.ToneSounds {
		l.state.LevelDBFS = s.LevelDBFS
	}
}

func (l *fakeLine) Sequence(string) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.state = rig.LineState{Sounds: rig.SequenceSounds, Output: presets.Output{Name: "USB interface"}, Part: "ladder", Seconds: 12, Of: 35}
	return nil
}

func (l *fakeLine) Volume(choice string) mixer.Setting {
	l.mu.Lock()
	defer l.mu.Unlock()
	if choice == "usb" {
		return l.volume
	}
	return mixer.Setting{}
}

func (l *fakeLine) Stop() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stops++
	l.state = rig.LineState{Sent: l.state.Sent}
}

func (l *fakeLine) State() rig.LineState {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.state
	if s.Sounds != rig.Quiet {
		s.Volume = l.volume
	}
	return s
}

// turn changes the system's volume of the USB interface.
func (l *fakeLine) turn(to mixer.Setting) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.volume = to
}

// at is an even volume that is not muted.
func at(db float64) mixer.Setting { return mixer.Setting{Told: true, Volume: presets.VolumeOf(db)} }

func (l *fakeLine) Clip(path string) (lineup.Result, error) {
	r, ok := l.clips[path]
	if !ok {
		return r, errors.New(path + " can't be used: the clip is silent")
	}
	return r, nil
}

// clipResult is what a clip of a plain small camera tells.
func clipResult() lineup.Result {
	r := lineup.Result{OffsetDB: 6.2, ClipDBFS: -7.1, Clip: lineup.Clip{Kind: lineup.HardClip, OnePercentDBFS: -7.1, CompressionDBFS: -6.8},
		NoiseDBFS: -62.4, NoiseDBA: -68.1, UsableDB: 67, Polarity: lineup.Normal, Wiring: lineup.Straight,
		Channels:          []lineup.Channel{{Carries: lineup.Left, OffsetDB: 6.2, Polarity: lineup.Normal}, {Carries: lineup.Right, OffsetDB: 6.1, Polarity: lineup.Normal}},
		DistortionPercent: 0.08, ClockPPM: 12.4, LowCut: lineup.Cut{Hz: 80, Slope: 12}, Target: lineup.Window{LowDBFS: -12, HighDBFS: -6},
		PadDB: 6, RateHz: 48000, Advice: []string{"add a pad of 10 dB or lower the output by 6 dB: full output overloads the camera"}}
	for i := range 31 {
		hz := 20 * float64(int(1)<<(i/3)) * []float64{1, 1.26, 1.587}[i%3]
		r.Response = append(r.Response, lineup.Point{Hz: hz, LevelDB: -12 * 60 / (hz + 30) * min(1, 80/hz)})
	}
	return r
}

// lineCase is a moment of the line-up screen.
func lineCase(keys ...string) screenCase {
	return screenCase{set: func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = lineupName }, keys: keys}
}
