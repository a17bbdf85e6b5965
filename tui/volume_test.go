package tui

import (
	"math"
	"testing"

	"rollready/capture/rig"

	"github.com/stretchr/testify/require"

	"rollready/capture/mixer"
	"rollready/capture/rig/output"
	"rollready/dsp/lineup"
	"rollready/presets"
)

var muted = mixer.Setting{Told: true, Muted: true}

// The volume at which the tone was read is kept with the reading.
func TestVolumeIsKeptWithTheReading(t *testing.T) {
	r, line := onLineup(t, 80, 24)
	shows(t, r, "Volume       −6.0 dB")
	press(r, "space", "enter")
	line.turn(at(-9.5))
	press(r, "e", "-14", "enter", "esc")
	shows(t, r, "Volume       −9.5 dB")
	require.Equal(t, presets.VolumeOf(-9.5), keptCamera(t, r).LinedUpVolume)
	line.turn(mixer.Setting{})
	press(r, "e", "-14", "enter", "esc")
	shows(t, r, "Volume       unknown")
	require.Equal(t, presets.Volume{}, keptCamera(t, r).LinedUpVolume)
	line.turn(muted)
	frame(r)
	shows(t, r, "The system mutes this output")
}

// With a clip goes the volume at which its sequence was sent in this run;
// otherwise it is unknown.
func TestVolumeOfAClip(t *testing.T) {
	r, line := onLineup(t, 120, 40)
	press(r, "f", "clip.wav", "enter")
	shows(t, r, "the output's volume then is unknown")
	require.Equal(t, presets.Volume{}, keptCamera(t, r).LinedUpVolume)
	require.Equal(t, "USB interface", keptCamera(t, r).LinedUpWith.Name)
	line.mu.Lock()
	line.state = rig.LineState{Sent: true, Output: presets.Output{Name: "Line out 3"}, Volume: at(-3)}
	line.mu.Unlock()
	press(r, "f", "clip.wav", "enter")
	require.NotContains(t, look(r), "is unknown")
	require.Equal(t, presets.VolumeOf(-3), keptCamera(t, r).LinedUpVolume)
	require.Equal(t, "Line out 3", keptCamera(t, r).LinedUpWith.Name)
	require.IsType(t, &lineup.Result{}, keptCamera(t, r).LineUp)
}

func TestReminderWarnsOfAnotherVolume(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Camera.SkipCard = false }, 200, 60)
	line := r.opt.parts.Line.(*fakeLine)
	for _, c := range []struct {
		at, now mixer.Setting
		says    string
	}{
		{at(-6), at(-6), ""},
		{at(-6), at(-6.1), ""},
		{at(-6), at(-6.2), "USB interface is at −6.2 dB, at line-up at −6.0 dB. Set its volume back, or line up"},
		{at(-6), at(0), "USB interface is at 0.0 dB, at line-up at −6.0 dB"},
		{at(-6), mixer.Setting{Told: true, Volume: presets.Volume{Known: true, LoudestDB: -6, QuietestDB: -20}}, "The balance of USB interface is not as at line-up."},
		{at(-6), mixer.Setting{Told: true, Volume: presets.Volume{Known: true, LoudestDB: -6, QuietestDB: math.Inf(-1)}}, "The balance of USB interface is not as at line-up."},
		{at(-6), muted, "The system mutes USB interface. Unmute it in the system's mixer, or the camera hears"},
		{at(-6), mixer.Setting{}, ""},
		{mixer.Setting{}, at(-20), ""},
	} {
		camera := r.desk.Camera
		camera.LinedUpVolume = c.at.Volume
		r.desk.SetCamera(camera)
		line.turn(c.now)
		frame(r)
		require.Equal(t, c.says == "", len(r.desk.FeedTrouble()) == 0, "%+v", c)
		shows(t, r, c.says)
	}
	shows(t, r, "over USB interface at an unknown volume, mic level")
	camera := r.desk.Camera
	camera.LinedUpVolume, camera.LinedUpWith = presets.VolumeOf(-6), presets.Output{Name: "Line out 3"}
	r.desk.SetCamera(camera)
	require.Empty(t, r.desk.FeedTrouble(), "volumes of two outputs can't be compared")
}

// While the camera is fed, every screen says that its meter lies, and nobody
// is told that it is safe to roll.
func TestChangedVolumeIsSaidOnEveryScreen(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Sound.(*fakeSound).feedCamera(at(-6)) }, 80, 24)
	sound := r.opt.parts.Sound.(*fakeSound)
	shows(t, r, "safe to roll")
	sound.ways[rig.CameraInput].Volume = at(-12)
	for range r.all {
		frame(r)
		says := "USB interface is at −12.0 dB, at line-up at −6.0 dB."
		if r.all[r.open].Name() == monitorName { // its strip says so
			says = "The camera meter is wrong: set the output's volume back"
		}
		shows(t, r, says)
		require.NotContains(t, look(r), "safe to roll")
		press(r, "tab")
	}
	for _, c := range []struct {
		status output.Status
		says   string
	}{
		{output.Status{Device: presets.Output{Name: "USB interface"}, Volume: muted}, "The camera hears nothing: the system mutes its output."},
		{output.Status{Device: presets.Output{Name: "USB interface"}, Lost: true}, "The camera hears nothing: its output is lost."},
		{output.Status{Device: presets.Output{Name: "USB interface"}, Fault: "a mistake"}, "The camera hears nothing: choose its output again"},
		{output.Status{Device: presets.Output{Name: "USB interface"}, Volume: mixer.Setting{Told: true, Volume: presets.Volume{Known: true, LoudestDB: -6, QuietestDB: -9}}}, "set the output's balance back"},
		{output.Status{Device: presets.Output{Name: "USB interface"}, Volume: at(-6)}, "safe to roll"},
		{output.Status{Device: presets.Output{Name: "USB interface"}}, "safe to roll"},                              // unknown
		{output.Status{Device: presets.Output{Name: "Line out 3"}, Volume: at(-12)}, "The line-up holds no longer"}, // it was made over another
	} {
		sound.ways[rig.CameraInput] = c.status
		frame(r)
		shows(t, r, c.says)
	}
}

func TestHeadphonesMutedByTheSystem(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Sound.(*fakeSound).plugIn() }, 80, 24)
	sound := r.opt.parts.Sound.(*fakeSound)
	sound.ways[rig.Headphones].Volume = muted
	frame(r)
	shows(t, r, "phones MUTED")
	press(r, "0")
	frame(r)
	shows(t, r, "system mutes phones")
}
