package rig

import (
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/rig/guided"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/dsp/verdict/live"
	"rollready/presets"
)

// fine is a running whole that nothing is wrong with: the camera is fed as it
// was lined up.
func fine() State {
	s := State{Status: session.Status{Source: "USB interface", Kind: capture.Device, Mixed: at(0)},
		Camera: presets.Camera{LinedUpWith: presets.Output{Name: "USB interface"}, LinedUpVolume: presets.VolumeOf(-6)}}
	s.ToCamera = Way{Status: output.Status{Device: presets.Output{Name: "USB interface"}, Volume: at(-6)}, Open: true}
	return s
}

func at(db float64) mixer.Setting { return mixer.Setting{Told: true, Volume: presets.VolumeOf(db)} }

func codesOf(list []verdict.Finding) (codes []verdict.Code) {
	for _, f := range list {
		codes = append(codes, f.Code)
	}
	return codes
}

// Each thing that can be wrong is a condition of its own code, and the one
// sentence is of what weighs most; without any of them speech that sits right
// is safe to roll.
func TestConditions(t *testing.T) {
	for name, c := range map[string]struct {
		is       func(*State)
		codes    []verdict.Code
		sentence verdict.Code
	}{
		"nothing":         {func(*State) {}, nil, verdict.SafeToRoll},
		"fault":           {func(s *State) { s.Status.Fault = "a mistake" }, []verdict.Code{verdict.MeteringStopped}, verdict.MeteringStopped},
		"input lost":      {func(s *State) { s.Status.Lost, s.Status.LostFor = true, 3*time.Second }, []verdict.Code{verdict.InputLost}, verdict.InputLost},
		"another input":   {func(s *State) { s.Status.Before = "Lavalier" }, []verdict.Code{verdict.InputChanged}, verdict.InputChanged},
		"output as input": {func(s *State) { s.Status.Monitor = true }, []verdict.Code{verdict.OutputMonitor}, verdict.OutputMonitor},
		"input turned":    {func(s *State) { s.Status.Mixed = at(-9) }, []verdict.Code{verdict.InputVolume}, verdict.InputVolume},
		"input muted":     {func(s *State) { s.Status.Mixed.Muted = true }, []verdict.Code{verdict.InputMuted}, verdict.InputMuted},
		"only zeros":      {func(s *State) { s.Status.Zeros = 3 * time.Second }, []verdict.Code{verdict.DigitalSilence}, verdict.DigitalSilence},
		"muted, zeros": {func(s *State) { s.Status.Mixed.Muted, s.Status.Zeros = true, time.Minute },
			[]verdict.Code{verdict.InputMuted}, verdict.InputMuted},
		"zeros, but not for long": {func(s *State) { s.Status.Zeros = 2 * time.Second }, nil, verdict.SafeToRoll},
		"volume unknown":          {func(s *State) { s.Status.Mixed = mixer.Setting{} }, nil, verdict.SafeToRoll},
		"not fed":                 {func(s *State) { s.ToCamera = Way{} }, []verdict.Code{verdict.CameraNotFed}, verdict.LevelRight},
		"listens only":            {func(s *State) { s.ToCamera, s.Deaf = Way{}, true }, nil, verdict.LevelRight},
		"camera lost":             {func(s *State) { s.ToCamera.Lost = true }, []verdict.Code{verdict.CameraLost}, verdict.CameraLost},
		"camera muted":            {func(s *State) { s.ToCamera.Volume.Muted = true }, []verdict.Code{verdict.CameraMuted}, verdict.CameraMuted},
		"camera volume":           {func(s *State) { s.ToCamera.Volume = at(-12) }, []verdict.Code{verdict.LineUpChanged}, verdict.LineUpChanged},
		"other output":            {func(s *State) { s.ToCamera.Device.Name = "Line out" }, []verdict.Code{verdict.LineUpChanged}, verdict.LineUpChanged},
		"howl":                    {func(s *State) { s.Phones = Way{output.Status{Alarm: "howl"}, true} }, []verdict.Code{verdict.Howl}, verdict.SafeToRoll},
		"take broken off":         {func(s *State) { s.Failure = "disk full" }, []verdict.Code{verdict.RecordingFailed}, verdict.SafeToRoll},
		"frames lost":             {func(s *State) { s.Status.Dropouts = 480 }, []verdict.Code{verdict.Dropouts}, verdict.SafeToRoll},
		"battery":                 {func(s *State) { s.Battery = power.Battery{State: power.Draining, Percent: 3} }, []verdict.Code{verdict.BatteryLow}, verdict.SafeToRoll},
		"check said no": {func(s *State) {
			s.Checked = &Checked{Outcome: guided.Outcome{Result: preroll.Result{Verdict: verdict.NotReady}}}
		}, nil, verdict.CheckNotReady},
		"demo": {func(s *State) { s.Status.Kind = capture.Demo }, nil, verdict.LevelRight},
		"several": {func(s *State) { s.Status.Before, s.ToCamera.Lost, s.Status.Dropouts = "Lavalier", true, 4 },
			[]verdict.Code{verdict.CameraLost, verdict.InputChanged, verdict.Dropouts}, verdict.CameraLost},
	} {
		t.Run(name, func(t *testing.T) {
			s := fine()
			c.is(&s)
			s.Conditions = conditions(&s)
			require.Equal(t, c.codes, codesOf(s.Conditions))
			require.Equal(t, c.sentence, sentence(&s, verdict.Safe()).Code)
		})
	}
}

// What is wrong with the sound comes before a lighter condition, and after a
// graver one.
func TestSentenceWeighsSoundAndConditions(t *testing.T) {
	s := fine()
	s.ToCamera.Volume = at(-12)
	s.Conditions = conditions(&s)
	require.Equal(t, verdict.InputClipped, sentence(&s, verdict.Clipped(verdict.Where{}, 3)).Code)
	require.Equal(t, verdict.LineUpChanged, sentence(&s, verdict.NotYetJudged()).Code)
	s.Status.Lost = true
	s.Conditions = conditions(&s)
	require.Equal(t, verdict.InputLost, sentence(&s, verdict.Clipped(verdict.Where{}, 3)).Code)
}

// The alarms of a take are conditions too, one of each code.
func TestAlarmsAreConditions(t *testing.T) {
	s := fine()
	s.Rec = take.Status{Rolling: true, DiskLeft: 4 * time.Minute, Problem: errors.New("never shown while it rolls"),
		Alarms: []take.Alarm{{Kind: verdict.DiskLow, Text: "disk: room for 4:00 more"}, {Kind: verdict.BatteryLow, Text: "battery at 3 %: plug in"}}}
	s.Battery = power.Battery{State: power.Draining, Percent: 3}
	require.Equal(t, []verdict.Code{verdict.DiskLow, verdict.BatteryLow}, codesOf(conditions(&s)))
}

// sentence is the one thing to say where this is judged of the sound.
func sentence(s *State, heard verdict.Finding) verdict.Finding {
	r := &Rig{parts: &Parts{Judge: func(_ dsp.Reading, about live.Situation) live.Judgement {
		found := append([]verdict.Finding{heard}, about.Conditions...)
		verdict.Sort(found)
		return live.Judgement{Sentence: found[0], Findings: found[1:]}
	}}}
	r.judge(s)
	return s.Sentence
}

// First is what somebody is told who can read one thing only.
func TestFirst(t *testing.T) {
	for name, c := range map[string]struct {
		is    func(*State)
		heard verdict.Finding
		want  verdict.Code
	}{
		"safe":                   {func(*State) {}, verdict.Safe(), verdict.SafeToRoll},
		"not fed":                {func(s *State) { s.ToCamera = Way{} }, verdict.Safe(), verdict.CameraNotFed},
		"not fed, and too loud":  {func(s *State) { s.ToCamera = Way{} }, verdict.LowerGain(verdict.Caution, 4), verdict.TooHot},
		"listens only":           {func(s *State) { s.ToCamera, s.Deaf = Way{}, true }, verdict.Safe(), verdict.LevelRight},
		"broken off":             {func(s *State) { s.Failure = "disk full" }, verdict.LowerGain(verdict.Stop, 4), verdict.RecordingFailed},
		"input lost":             {func(s *State) { s.Failure, s.Status.Lost = "disk full", true }, verdict.Safe(), verdict.InputLost},
		"battery":                {func(s *State) { s.Battery = power.Battery{State: power.Draining, Percent: 3} }, verdict.Safe(), verdict.SafeToRoll},
		"battery under a take":   {func(s *State) { s.Battery, s.Rec.Rolling = power.Battery{State: power.Draining, Percent: 3}, true }, verdict.Safe(), verdict.BatteryLow},
		"headphones out, silent": {func(s *State) { s.Phones = Way{output.Status{Lost: true}, true} }, verdict.Safe(), verdict.SafeToRoll},
	} {
		s := fine()
		c.is(&s)
		sentence(&s, c.heard)
		require.Equal(t, c.want, s.First().Code, name)
	}
}

// racing gives a newer reading at each call, some late.
type racing struct {
	Engine
	frames atomic.Int64
}

func (e *racing) Reading() dsp.Reading {
	n := e.frames.Add(480)
	time.Sleep(time.Duration(n/480%3) * 100 * time.Microsecond)
	return dsp.Reading{Frames: n, RateHz: 48000, Channels: 2}
}

// Two who look at once are given their readings in turn: to the judge an older
// one means another input, and it forgets what it heard.
func TestReadingsAreJudgedInTurn(t *testing.T) {
	s := newStand(t)
	s.parts.Engine = &racing{Engine: s.parts.Engine}
	last, back := int64(0), 0
	s.parts.Judge = func(r dsp.Reading, _ live.Situation) live.Judgement {
		if r.Frames < last {
			back++
		}
		last = r.Frames
		return live.Judgement{Sentence: verdict.NotYetJudged()}
	}
	var both sync.WaitGroup
	for range 2 {
		both.Go(func() {
			for range 200 {
				s.State()
			}
		})
	}
	both.Wait()
	require.Zero(t, back)
}
