//go:build linux

package rig

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rescue"
	"rollready/capture/soundtest"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// Two adapters of one name: the camera is lined up over the right one, so that
// its meter holds there alone, and the next start feeds it over that one.
func TestTwinsAreToldApart(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	const name, left, right = "USB Adapter", "id:pulseaudio:left", "id:pulseaudio:right"
	for _, id := range []string{"left", "right"} {
		server.AddSink(t, id, name, capture.Format{RateHz: 48000, Channels: 2})
	}
	store, err := presets.Open(filepath.Join(t.TempDir(), "config"))
	require.NoError(t, err)
	named, err := device.NamedOutput(right)
	require.NoError(t, err)
	_, err = device.NamedOutput(name)
	require.ErrorContains(t, err, `output "USB Adapter" could be "USB Adapter" (left), "USB Adapter" (right)`)
	camera := presets.NewCamera("b camera")
	camera.LinedUp, camera.LinedUpWith = time.Now(), named
	require.Equal(t, presets.Output{Name: name, Key: right, Twin: true}, camera.LinedUpWith)
	require.NoError(t, store.Cameras.Save(camera))
	camera, err = store.Cameras.Load("b camera")
	require.NoError(t, err)

	set, warned := presets.DefaultSettings(), ""
	run := func(headphones, output string, look func(r *Rig, s State)) {
		t.Helper()
		var last rescue.Rescue
		system := device.NewSystem(last.Go)
		defer system.Close()
		r, err := Open(t.Context(), Options{System: system, Rescue: &last, Store: store, Kept: set, Settings: set, Camera: camera,
			Input: Input{Choice: soundtest.MicName}, Outputs: [2]string{headphones, output},
			Warn: func(err error) {
				if err != nil {
					warned = err.Error()
				}
			}})
		require.NoError(t, err)
		require.NoError(t, r.LookForOutputs())
		look(r, r.State())
		set = r.State().Settings
		require.NoError(t, r.Close())
	}
	stale := func(s State) bool {
		return slices.ContainsFunc(s.Conditions, func(f verdict.Finding) bool { return f.Code == verdict.LineUpChanged })
	}
	run(right, left, func(r *Rig, s State) {
		require.True(t, stale(s), "fed over the other: %v", s.Conditions)
		require.Equal(t, "it was made over another output called USB Adapter", OtherOutput(camera.LinedUpWith, s.ToCamera.Device))
		require.False(t, s.Private(), "listened to over what was lined up")
		for _, o := range s.LineUp.Outputs {
			require.Equal(t, o.Choice == left, o.InUse, o.Choice)
		}
		require.NoError(t, r.Use(Headphones, ""))
		require.NoError(t, r.Use(CameraInput, right))
	})
	run("", "", func(_ *Rig, s State) {
		require.Equal(t, right, s.ToCamera.Device.Key, "as it was left")
		require.False(t, stale(s), "%v", s.Conditions)
	})
	run(left, "", func(_ *Rig, s State) { require.True(t, s.Private()) })

	byName := presets.Output{Name: name}
	set.CameraOutput, set.Headphones, camera.LinedUpWith = byName, presets.Output{}, byName
	run("", "", func(_ *Rig, s State) { require.False(t, s.ToCamera.Open, "either could be meant") })
	require.Equal(t, `several outputs are called "USB Adapter"; choose it in Setup once it is there`, warned)
	run("", right, func(_ *Rig, s State) {
		require.True(t, stale(s))
		require.Contains(t, OtherOutput(camera.LinedUpWith, s.ToCamera.Device), "which one it was made over is not known")
	})
	server.RemoveSink(t, "right")
	run("", left, func(r *Rig, s State) {
		require.False(t, stale(s), "it is the only one of that name: %v", s.Conditions)
	})
	camera.LinedUpWith = named
	run("", left, func(_ *Rig, s State) { require.True(t, stale(s), "there were two, and it was the other") })
	camera.LinedUpWith.Twin = false // there was one
	run("", left, func(r *Rig, s State) {
		require.False(t, stale(s), "plugged in elsewhere since: %v", s.Conditions)
		server.AddSink(t, "right", name, capture.Format{RateHz: 48000, Channels: 2})
		require.Eventually(t, func() bool { return stale(r.State()) }, time.Minute, 50*time.Millisecond, "it was the other, which is back")
	})
}

// Two microphones of one name: they are told apart, and the other one is never
// taken for the one that was lost, while it runs or at the next start.
func TestTheTwinOfALostMicrophoneIsNotTaken(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	const name, left, right = "Lapel Mic", "lapel_left", "lapel_right"
	server.AddMic(t, left, name)
	server.AddMic(t, right, name)
	server.Tone(t, 440, 0.1)
	store, err := presets.Open(filepath.Join(t.TempDir(), "config"))
	require.NoError(t, err)
	set := presets.DefaultSettings()
	run := func(in Input, look func(r *Rig)) {
		t.Helper()
		var last rescue.Rescue
		system := device.NewSystem(last.Go)
		defer system.Close()
		r, err := Open(t.Context(), Options{System: system, Rescue: &last, Store: store, Kept: set, Settings: set, Input: in, Warn: func(error) {}})
		require.NoError(t, err)
		look(r)
		set = r.State().Settings
		require.NoError(t, r.Close())
	}
	lost := func(r *Rig) {
		t.Helper()
		require.Eventually(t, func() bool { return r.State().Status.Lost }, time.Minute, 50*time.Millisecond)
		for until := time.Now().Add(4 * time.Second); time.Now().Before(until); time.Sleep(50 * time.Millisecond) {
			require.True(t, r.State().Status.Lost, "the other one was taken")
		}
	}
	run(Input{Choice: "id:pulseaudio:" + right}, func(r *Rig) {
		s := r.State().Status
		require.Equal(t, "Lapel Mic (right)", s.Called())
		require.Equal(t, "id:pulseaudio:lapel_right", s.Key)
		server.RemoveSource(t, right)
		lost(r)
		require.Contains(t, r.State().Conditions[0].Message, "Lapel Mic (right)")
		server.AddMic(t, right, name)
		require.Eventually(t, func() bool { return !r.State().Status.Lost }, time.Minute, 50*time.Millisecond)
	})
	require.True(t, set.InputTwin)
	server.RemoveSource(t, right)
	run(Input{Choice: set.Input, Expect: set.InputName, Twin: set.InputTwin, Fallback: true}, func(r *Rig) {
		require.Equal(t, capture.Demo, r.State().Status.Kind, "%+v", r.State().Status)
	})
}
