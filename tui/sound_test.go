package tui

import (
	"errors"
	"testing"

	"rollready/capture/rig"
	"rollready/tui/desk"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/capture/rig/output"
	"rollready/dsp/chain"
	"rollready/dsp/howl"
	"rollready/presets"
)

func withPhones(t *testing.T, w, h int, change func(*fakeSound, *Options)) (*root, *fakeSound) {
	t.Helper()
	var sound *fakeSound
	r := still(t, func(_ *fakeEngine, o *Options) {
		sound = o.parts.Sound.(*fakeSound)
		sound.plugIn()
		if change != nil {
			change(sound, o)
		}
	}, w, h)
	return r, sound
}

// wait lets the figures change, which they do a few times a second.
func wait(r *root) {
	for range widget.FramesPerSecond {
		r.Update(desk.TickMsg{})
	}
}

// TestMuteAndLevelEverywhere: the same keys on every screen.
func TestMuteAndLevelEverywhere(t *testing.T) {
	r, sound := withPhones(t, 120, 40, nil)
	for _, s := range r.all {
		press(r, tab(r, s.Name()))
		shows(t, r, "phones MUTED at −30 dB")
		press(r, "0")
		require.False(t, sound.ways[rig.Headphones].Muted, s.Name())
		shows(t, r, "phones −30 dB")
		press(r, ".", ".", ",")
		require.Equal(t, -28.0, sound.ways[rig.Headphones].LevelDB, s.Name())
		press(r, ",", "0")
		require.True(t, sound.ways[rig.Headphones].Muted, s.Name())
	}
	for range 40 {
		press(r, ".")
	}
	require.Equal(t, 0.0, sound.ways[rig.Headphones].LevelDB, "never louder than the source")
}

func TestMuteByMouse(t *testing.T) {
	r, sound := withPhones(t, 80, 24, nil)
	x, y := find(t, r, "phones MUTED")
	grab(r, x, y)
	require.False(t, sound.ways[rig.Headphones].Muted)
	drag(r, x+30, y)
	roll(r, tea.MouseWheelUp, x, y)
	require.Equal(t, -28.0, sound.ways[rig.Headphones].LevelDB)
}

func TestNoHeadphonesSaysSo(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "0")
	shows(t, r, "No headphones: choose an output in Setup")
}

// TestHowlIsSaidPlainly, with its reason; letting it be heard again begins low.
func TestHowlIsSaidPlainly(t *testing.T) {
	for _, w := range []int{80, 120, 200} {
		r, sound := withPhones(t, w, 40, func(s *fakeSound, _ *Options) {
			s.ways[rig.Headphones].Alarm = howl.Alarm{Hz: 1240, DBPerSecond: 41}.String()
			s.ways[rig.Headphones].LevelDB = -6
		})
		shows(t, r, "Muted: ")
		shows(t, r, "feedback at 1240 Hz, growing 41 dB per second")
		press(r, "0")
		require.False(t, sound.ways[rig.Headphones].Muted)
		require.Equal(t, output.StartLevelDB, sound.ways[rig.Headphones].LevelDB)
	}
}

func TestLostOutputs(t *testing.T) {
	r, sound := withPhones(t, 80, 24, func(s *fakeSound, _ *Options) { s.ways[rig.Headphones].Lost = true })
	shows(t, r, "Headphone jack is lost: it comes back muted")
	shows(t, r, "phones LOST")
	back := &sound.ways[rig.Headphones]
	back.Lost, back.Muted, back.Back = false, true, true
	wait(r)
	shows(t, r, "phones back, MUTED")
	r, sound = withPhones(t, 120, 24, func(s *fakeSound, _ *Options) {
		s.has[rig.CameraInput] = true
		s.ways[rig.CameraInput] = output.Status{Device: presets.Output{Name: "USB interface"}, Lost: true}
	})
	shows(t, r, "The camera hears nothing: its output is lost. Check its plug.")
	sound.ways[rig.CameraInput].Lost, sound.ways[rig.CameraInput].DelayMS = false, 80
	wait(r)
	shows(t, r, "camera 80.0 ms 2.00 pictures")
	sound.ways[rig.CameraInput].Dropouts = 7
	wait(r)
	shows(t, r, "camera broke off 7×")
}

// TestStatusRowTellsTheDelay in pictures of the camera's rate, with drift and
// breaks.
func TestStatusRowTellsTheDelay(t *testing.T) {
	r, sound := withPhones(t, 200, 60, func(_ *fakeSound, o *Options) { o.parts.Camera.FrameRate = 24 })
	shows(t, r, "21.3 ms 0.51 pictures  drift +12 ppm")
	sound.ways[rig.Headphones].Dropouts = 3
	wait(r)
	shows(t, r, "broke off 3×")
}

func TestChooseAnOutput(t *testing.T) {
	asked := map[rig.Place]string{}
	var fail error
	r, sound := withPhones(t, 120, 40, func(s *fakeSound, o *Options) {
		s.has[rig.Headphones] = false
		s.use = func(p rig.Place, choice string) error {
			if fail == nil {
				asked[p], s.has[p] = choice, choice != ""
				s.ways[p].Device.Name = map[string]string{"jack": "Headphone jack", "usb": "USB interface"}[choice]
			}
			return fail
		}
	})
	press(r, tab(r, setupName))
	choose(r, "Headphones")
	press(r)
	shows(t, r, "sound harms hearing: go up slowly")
	press(r, "enter", "down", "enter")
	require.Equal(t, "jack", asked[rig.Headphones])
	shows(t, r, "muted and low; 0 lets them be heard")
	require.Equal(t, "Headphone jack", r.desk.Settings.Headphones.Name)
	press(r, "down")
	shows(t, r, "qualified technician")
	press(r, "enter", "end", "enter")
	require.Equal(t, "usb", asked[rig.CameraInput])
	fail = errors.New("output is not there: connect it")
	press(r, "enter", "home", "enter")
	shows(t, r, "the output before stays")
	require.Equal(t, "USB interface", r.desk.Settings.CameraOutput.Name)
	require.True(t, sound.has[rig.CameraInput])
}

// TestFrameRateAndLipSync: 80 ms late is over the 60 ms of EBU R 37-2007 and
// under the 125 ms of ITU-R BT.1359-1, two pictures of 25 in a second.
func TestFrameRateAndLipSync(t *testing.T) {
	r, _ := withPhones(t, 120, 40, func(s *fakeSound, _ *Options) { s.ways[rig.Headphones].DelayMS = 80 })
	press(r, tab(r, setupName))
	choose(r, "Frame rate")
	press(r)
	shows(t, r, "25, not told yet")
	shows(t, r, "80.0 ms, 2.00 pictures at 25/s")
	shows(t, r, "BT.1359")
	press(r, "right")
	require.Equal(t, 29.97, r.desk.Camera.FrameRate)
	press(r, "left", "left", "left")
	require.Equal(t, 23.976, r.desk.Camera.FrameRate)
	kept, err := r.opt.parts.Store.Cameras.Load(r.desk.Camera.Name)
	require.NoError(t, err)
	require.Equal(t, 23.976, kept.FrameRate)
}

// TestLimiterIsRelativeToTheClipPoint: a camera that reads 4 dB more than we
// send and clips at −1 dBFS is kept 1.5 dB under by a ceiling of −6.5 dBTP.
func TestLimiterIsRelativeToTheClipPoint(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Camera.Scale.OffsetDB, o.parts.Camera.Scale.ClipDBFS = 4, -1 }, 120, 40)
	press(r, "e", "s")
	require.Equal(t, chain.Limit{On: true, CeilingDBTP: -6}, chainOf(r).Limit)
	press(r, "down")
	require.Equal(t, chain.Limit{On: true, CeilingDBTP: -6.5}, chainOf(r).Limit)
	shows(t, r, "1.5 dB under clip")
	press(r, "enter", "-3", "enter")
	require.Equal(t, chain.Limit{On: true, CeilingDBTP: -8}, chainOf(r).Limit)
	r.opt.parts.Engine.(*fakeEngine).status.ReductionDB = 2.4
	press(r, "w", "esc")
	shows(t, r, "3.0 dB under clip, takes 2.4 dB")
	press(r, "enter", "off", "enter")
	require.False(t, chainOf(r).Limit.On)
	press(r, "s")
	require.Equal(t, chain.Limit{On: true, CeilingDBTP: -8}, chainOf(r).Limit, "as before it was switched off")
	_, y := find(t, r, " 3.0 dB under clip")
	grab(r, 90, y)
	drag(r, 400, y)
	require.Equal(t, -5.0, chainOf(r).Limit.CeilingDBTP, "dragged to the clip point")
}
