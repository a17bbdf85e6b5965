package tui

import (
	"math"
	"os"
	"sync"
	"time"

	"rollready/capture/rig"
	"rollready/dsp/strips"
	"rollready/tui/widget"

	"rollready/capture"
	"rollready/capture/power"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/lineup"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/dsp/verdict/live"
	"rollready/presets"
	"rollready/tui/terminal"
)

// fakeEngine gives a fixed reading, or one that moves like speech.
type fakeEngine struct {
	mu      sync.Mutex
	strips  strips.Settings
	chain   chain.Settings // of the first
	view    dsp.View
	status  session.Status
	still   bool
	n       int
	resets  int
	clipped int64
	overs   int64
}

func newFake() *fakeEngine {
	return &fakeEngine{still: true, status: session.Status{Source: "USB interface", Kind: capture.Device, SourceHz: 48000, Channels: 2, Picked: strips.ChannelsOf(2, []int{0, 1})}}
}

func (e *fakeEngine) SetStrips(s strips.Settings) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.strips, e.chain = s, s.Chain(0)
}
func (e *fakeEngine) SetView(v dsp.View)         { e.mu.Lock(); e.view = v; e.mu.Unlock() }
func (e *fakeEngine) ResetHolds()                { e.mu.Lock(); e.resets++; e.mu.Unlock() }
func (e *fakeEngine) Follow(int) <-chan struct{} { return nil }
func (e *fakeEngine) Status() session.Status     { e.mu.Lock(); defer e.mu.Unlock(); return e.status }

func (e *fakeEngine) Reading() dsp.Reading {
	e.mu.Lock()
	defer e.mu.Unlock()
	if !e.still {
		e.n++
	}
	t := float64(e.n) / widget.FramesPerSecond
	syllable := 8*math.Sin(2*math.Pi*3.1*t) + 4*math.Sin(2*math.Pi*0.7*t)
	r := dsp.Reading{Frames: int64(e.n+1) * 1600, RateHz: 48000, Channels: 2, Fed: 2, BandsUsable: dsp.BandCount,
		Loudness: dsp.Loudness{MomentaryLUFS: -24.3 + syllable/4, ShortTermLUFS: -25.1, IntegratedLUFS: -24.8}}
	for c := range 2 {
		in := -22 + syllable - 3*float64(c)
		out := in + e.chain.GainDB
		r.Input[c] = dsp.Level{PeakDBFS: in, HoldDBFS: -9 - 3*float64(c), TruePeakDBTP: in + 0.3, MaxDBTP: -8.6, RMSDBFS: in - 12, ClippedRuns: e.clipped}
		r.Output[c] = r.Input[c]
		cam := e.view.Camera.Reads(out)
		r.Camera[c] = dsp.CameraLevel{PeakDBFS: cam, HoldDBFS: e.view.Camera.Reads(e.chain.GainDB - 9 - 3*float64(c)),
			HeadroomDB: e.view.Camera.Headroom(cam), Zone: e.view.Camera.Zone(e.view.Camera.Reads(e.chain.GainDB - 9 - 3*float64(c)))}
		r.Camera[c].LeastHeadroomDB, r.Camera[c].Overs = e.view.Camera.Headroom(r.Camera[c].HoldDBFS), e.overs
	}
	for i := range r.Bands {
		voice := -38 - math.Pow(float64(i-11)/5, 2)*4 + 5*math.Sin(float64(i)*1.9)
		moving := voice + syllable*math.Sin(float64(i)+t*9)*0.7
		r.Bands[i] = dsp.Band{LevelDBFS: max(moving, -75-float64(i)/4), HoldDBFS: max(voice+7, -72)}
	}
	return r
}

// fakeOptions is a whole program on the fake engine.
func fakeOptions(t interface{ TempDir() string }, e *fakeEngine) Options {
	store, err := presets.Open(t.TempDir())
	if err != nil {
		panic(err)
	}
	return optionsWith(store, e)
}

func optionsWith(store *presets.Store, e *fakeEngine) Options {
	s := presets.Settings{Preset: "indoor voice", CameraName: "small camera", Theme: "night", Screen: monitorName, View: dsp.DefaultView(), Viewers: presets.ViewersLook,
		EqualLoudness: true, Recording: presets.DefaultSettings().Recording,
		Strips: strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}, LowPass: filter.Cut{Hz: 12500, Slope: 12}})}
	s.Recording.Scene = "12A"
	return Options{Terminal: terminal.New(os.Stdin, os.Stdout), Go: func(f func()) { go f() }, parts: &rig.Parts{
		Engine: e, Recorder: newFakeRecorder(), Go: func(f func()) { go f() }, Settings: s, Store: store, Keeper: store.Keep(s, func(f func()) { go f() }), Sound: newFakeSound(e),
		Outputs: func() ([]rig.Device, error) {
			return []rig.Device{{Choice: "jack", Name: "Headphone jack", Detail: "48 kHz, 2 channels, default"}, {Choice: "usb", Name: "USB interface", Detail: "48 kHz, 2 channels"}}, nil
		},
		Inputs: func() ([]rig.Device, error) {
			return []rig.Device{{Choice: "usb", Name: "USB interface", Detail: "48 kHz, 2 channels, default"}, {Choice: "built-in", Name: "Built-in microphone", Detail: "44.1 kHz, 1 channel"}}, nil
		},
		Switch: func(string, string) error { return nil },
		Stand:  func(session.Opener) error { return nil },
		Line:   &fakeLine{clips: map[string]lineup.Result{"clip.wav": clipResult()}, volume: at(-6)},
		Check: func(...int) rig.Checker {
			return &fakeCheck{progress: guided.Progress{Progress: preroll.Progress{Step: preroll.Done, Share: 1}}, outcome: heardWell}
		},
		Now: func() time.Time { return time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC) },
		Camera: presets.Camera{Name: "small camera", SkipCard: true, Scale: s.View.Camera, MicLevel: "manual, 3 of 30",
			LinedUp: time.Date(2024, 5, 14, 9, 0, 0, 0, time.UTC), LinedUpWith: presets.Output{Name: "USB interface"}, LinedUpVolume: presets.VolumeOf(-6),
			Cable: "pad 20 dB, DC block", Reminders: []string{"auto level off", "wind cover on"}},
		Battery: func() power.Battery { return power.Battery{State: power.Draining, Percent: 82} },
		Judge:   weighs(verdict.Safe()),
	}}
}

// weighs is a judge that finds the same in any sound.
func weighs(sound verdict.Finding) func(dsp.Reading, live.Situation) live.Judgement {
	return func(_ dsp.Reading, s live.Situation) live.Judgement {
		found := append([]verdict.Finding{sound}, s.Conditions...)
		verdict.Sort(found)
		return live.Judgement{Sentence: found[0], Findings: s.Conditions}
	}
}
