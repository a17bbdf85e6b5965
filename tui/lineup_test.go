package tui

import (
	"testing"

	"rollready/capture/mixer"
	"rollready/capture/rig"

	"github.com/stretchr/testify/require"

	"rollready/presets"
	"rollready/tui/view"
)

func onLineup(t *testing.T, w, h int) (*root, *fakeLine) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = lineupName }, w, h)
	return r, r.opt.parts.Line.(*fakeLine)
}

func keptCamera(t *testing.T, r *root) presets.Camera {
	t.Helper()
	c, err := r.opt.parts.Store.Cameras.Load("small camera")
	require.NoError(t, err)
	return c
}

// What the meter reads ends in the profile, and the camera meter of the
// monitor moves by as much.
func TestReadingIsKept(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	press(r, "e")
	require.Nil(t, r.desk.Prompt, "no tone, no reading")
	shows(t, r, "Switch the tone on first")
	press(r, "space")
	shows(t, r, "Headphones off? −20.0 dBFS to USB interface")
	require.Equal(t, rig.Quiet, line.State().Sounds, "nothing sounds unasked")
	press(r, "enter")
	shows(t, r, "TONE ON")
	require.Equal(t, -20.0, line.tone.LevelDBFS)
	before := r.desk.Settings.View.Camera.Reads(-20)
	press(r, "e", "14", "enter")
	shows(t, r, "with its minus")
	press(r, "esc")
	press(r, "e", "-14", "enter")
	shows(t, r, "Mic level on the camera now")
	press(r, "ctrl+u", "manual, 4 of 30", "enter")
	c := keptCamera(t, r)
	require.Equal(t, 6.0, c.Scale.OffsetDB)
	require.Equal(t, "manual, 4 of 30", c.MicLevel)
	require.Equal(t, "USB interface", c.LinedUpWith.Name)
	require.Equal(t, "indoor voice", c.LinedUpPreset)
	require.Equal(t, r.opt.parts.Now(), c.LinedUp)
	require.Equal(t, before+6, r.opt.parts.Engine.(*fakeEngine).view.Camera.Reads(-20))
	press(r, "u")
	require.Equal(t, 0.0, keptCamera(t, r).Scale.OffsetDB)
	press(r, "u")
	shows(t, r, "Nothing to undo")
}

func TestClipMarkIsKept(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	press(r, "space", "enter", "e", "-14", "enter", "esc")
	for range 13 {
		press(r, "+")
	}
	require.Equal(t, -7.0, line.tone.LevelDBFS)
	press(r, "c")
	require.Equal(t, -1.0, keptCamera(t, r).Scale.ClipDBFS)
	press(r, "-", "l")
	require.Equal(t, -20.0, line.tone.LevelDBFS)
	press(r, "l")
	require.Equal(t, -18.0, line.tone.LevelDBFS)
	press(r, "i", "down", "down", "right")
	require.True(t, line.tone.Ident)
	require.Equal(t, 3150.0, line.tone.Hz)
	press(r, "enter", "ctrl+u", "30000", "enter")
	shows(t, r, "choose 20 to 20000 Hz")
}

// A tone that still rises has no reading yet.
func TestRisingToneIsNotRead(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	press(r, "space", "enter")
	line.mu.Lock()
	line.state.LevelDBFS = -45
	line.mu.Unlock()
	wait(r)
	shows(t, r, "Tone         RISING −45.0")
	press(r, "e")
	require.Nil(t, r.desk.Prompt)
	shows(t, r, "still rises")
}

func TestLeavingStopsTheTone(t *testing.T) {
	for _, leave := range []string{"1", "tab", "space"} {
		r, line := onLineup(t, 80, 24)
		press(r, "space", "enter")
		require.Equal(t, rig.ToneSounds, line.State().Sounds)
		press(r, leave)
		require.Equal(t, rig.Quiet, line.State().Sounds, leave)
		require.Equal(t, 1, line.stops)
	}
}

func TestOutputIsChosenAndItsErrorSaid(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	shows(t, r, "Output       USB interface")
	press(r, "up", "up", "up", "right")
	shows(t, r, "Output       Wireless")
	press(r, "space", "enter")
	require.Equal(t, rig.Quiet, line.State().Sounds)
	shows(t, r, "is another program using it?")
}

// The level that was lined up holds for one output: the camera is fed over it
// if the person says so, and asked once.
func TestLineUpOffersToFeedTheCamera(t *testing.T) {
	r, _ := onLineup(t, 120, 40)
	var used []string
	sound := r.opt.parts.Sound.(*fakeSound)
	sound.use = func(p rig.Place, choice string) error {
		require.Equal(t, rig.CameraInput, p)
		used = append(used, choice)
		sound.feedCamera(mixer.Setting{})
		return nil
	}
	press(r, "space", "enter", "e", "-14", "enter", "esc", "space")
	shows(t, r, "Feed the camera over USB interface from now on?")
	require.Empty(t, used)
	press(r, "enter")
	require.Equal(t, []string{"usb"}, used)
	require.Equal(t, "USB interface", r.desk.Settings.CameraOutput.Name)
	press(r, "space", "space")
	require.Nil(t, r.desk.Question, "asked once, and once whether it may sound")
}

func TestClipIsReadShownAndKept(t *testing.T) {
	r, line := onLineup(t, 120, 40)
	press(r, "f", "other.wav", "enter")
	shows(t, r, "other.wav can't be used: the clip is silent")
	press(r, "f", "'clip.wav'", "enter")
	for _, want := range []string{"add a pad of 10 dB", "Frequency response", "80 Hz, 12 dB per octave", "−62.4 dBFS", "hard"} {
		shows(t, r, want)
	}
	c := keptCamera(t, r)
	require.InDelta(t, 6.2, c.Scale.OffsetDB, 1e-9)
	require.InDelta(t, -0.9, c.Scale.ClipDBFS, 1e-9)
	require.NotNil(t, c.LineUp)
	press(r, "v")
	shows(t, r, "read; v shows it")
	press(r, "v")
	shows(t, r, "Frequency response")
	press(r, "u")
	require.Nil(t, keptCamera(t, r).LineUp)
	levelled := clipResult()
	levelled.AutomaticLevel.On = true
	line.clips["levelled.wav"] = levelled
	press(r, "f", "levelled.wav", "enter")
	shows(t, r, "automatic level is on")
	require.Nil(t, keptCamera(t, r).LineUp, "not kept")
}

func TestSequenceShowsItsProgress(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	press(r, "s")
	shows(t, r, "Headphones off? Up to −1 dBFS to USB interface")
	require.Equal(t, rig.Quiet, line.State().Sounds, "nothing sounds unasked")
	press(r, "esc")
	require.Equal(t, rig.Quiet, line.State().Sounds)
	press(r, "s", "enter")
	shows(t, r, "SENDING")
	shows(t, r, "12 of 35 s")
	press(r, "space")
	require.Equal(t, rig.SequenceSounds, line.State().Sounds)
	line.mu.Lock()
	line.state = rig.LineState{Sent: true}
	line.mu.Unlock()
	frame(r)
	shows(t, r, "read it (f)")
	line.mu.Lock()
	line.state = rig.LineState{Fault: "the output stopped: check the device and send again"}
	line.mu.Unlock()
	frame(r)
	shows(t, r, "the output stopped")
}

// The figures of a gain plan are those of its own definitions: +4 dBu is
// 1.78 dBV, so −20 dBFS through 20 dB of pad lands at −8.2 dBFS where −30 dBV
// fill the scale.
func TestGainPlan(t *testing.T) {
	r := screenCases()["lineup-plan"].at(t, func(*fakeEngine, *Options) {}, 80, 24)
	shows(t, r, "low              −8.2 dBFS  +15 dB   3 dB")
	shows(t, r, "high             – dBFS     – dB     – dB")
	press(r, "enter", "ctrl+u", "nonsense", "enter")
	shows(t, r, "write it like")
}

func TestReminderWarnsOfAnotherOutput(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Camera.SkipCard = false }, 80, 24)
	require.NotContains(t, look(r), "line up again")
	shows(t, r, "Lined up 3 days ago over USB interface at −6.0 dB, mic level manual, 3 of")
	line := r.opt.parts.Line.(*fakeLine)
	outputs, _ := line.Outputs()
	outputs[0].InUse = true
	line.outputs = outputs
	require.NoError(t, r.desk.Rig.LookForOutputs())
	frame(r)
	shows(t, r, "Now in use: Wireless headphones.")
	line.outputs = outputs[:1]
	require.NoError(t, r.desk.Rig.LookForOutputs())
	frame(r)
	shows(t, r, "USB interface is not connected")
	outputs[0].Name, outputs[1].InUse = outputs[1].Name, true
	outputs[0].Twin, outputs[1].Twin, outputs[0].InUse = true, true, false
	line.outputs = outputs
	require.NoError(t, r.desk.Rig.LookForOutputs())
	frame(r)
	shows(t, r, "several outputs are called USB interface")
}

// Of two microphones of one name every screen says which is heard.
func TestTwinsAreToldApart(t *testing.T) {
	for _, w := range []int{60, 80, 120} {
		r := still(t, func(e *fakeEngine, _ *Options) {
			e.status.Source, e.status.Mark, e.status.Key = "Interface with a very long name", "left", "id:pulseaudio:in_left"
		}, w, 24)
		for range r.all {
			frame(r)
			shows(t, r, map[int]string{60: "… (le", 80: "… (le", 120: "… (left) 48 kHz"}[w])
			press(r, "tab")
		}
	}
	require.Equal(t, "Lav (right)", view.Called("Lav", "right", 20))
	require.Equal(t, "Lap… (ri…)", view.Called("Lapel", "right", 10))
}

// TestCardsFitASmallTerminal: nobody need scroll to the words of care.
func TestCardsFitASmallTerminal(t *testing.T) {
	for _, name := range []string{"lineup", "lineup-tone", "lineup-sequence", "lineup-balance", "lineup-muted"} {
		r := screenCases()[name].at(t, func(*fakeEngine, *Options) {}, 80, 24)
		require.NotContains(t, look(r), "more below", name)
		shows(t, r, "ask a qualified technician")
	}
}
