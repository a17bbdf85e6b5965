package rig

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/rig/alert"
	"rollready/capture/take"
	"rollready/dsp/earcon"
	"rollready/dsp/verdict"
	"rollready/presets"
)

func (o *outs) Earcon(k earcon.Kind) { o.earcons = append(o.earcons, k) }

// A take that ends by a fault is told once by the face, and in the headphones
// where that is chosen and the camera can't hear it.
func TestATakeStoppedByAFaultIsTold(t *testing.T) {
	s := newStand(t)
	told := make(chan alert.Alert, 9)
	s.parts.Go = func(f func()) { f() }
	s.Tell(func(a alert.Alert) { told <- a })
	tend := func() { now := s.State(); s.tend(&now) }
	tend()
	_, err := s.Roll(take.What{})
	require.NoError(t, err)
	tend()
	require.Empty(t, told)
	fail := func() {
		s.recorder.status = take.Status{Take: take.Take{Path: "1.wav"}, Problem: errors.New("disk full")}
	}
	fail()
	tend()
	tend()
	require.Len(t, told, 1)
	a := <-told
	require.Equal(t, verdict.RecordingFailed, a.What.Code)
	require.Equal(t, presets.Notification, a.Ways, "as it is set at first")
	require.Empty(t, s.ways.earcons)

	again := func(change func(*presets.Settings), now time.Time) {
		s.parts.Now = func() time.Time { return now }
		s.recorder.status = take.Status{Rolling: true}
		s.Change(change)
		tend()
		fail()
		tend()
	}
	later := s.parts.Now()
	for name, c := range map[string]struct {
		phones, camera, linedUp string
		want                    []earcon.Kind
	}{
		"headphones":        {"Jack", "USB", "USB", []earcon.Kind{earcon.TakeStopped}},
		"none":              {"", "USB", "USB", nil},
		"the camera's":      {"USB", "USB", "", nil},
		"lined up over":     {"Jack", "", "Jack", nil},
		"no camera for now": {"Jack", "", "", []earcon.Kind{earcon.TakeStopped}},
	} {
		later = later.Add(time.Minute)
		s.ways.open, s.ways.earcons = [2]string{c.phones, c.camera}, nil
		camera := presets.NewCamera("b camera")
		camera.LinedUpWith.Name = c.linedUp
		s.SetCamera(camera)
		again(func(set *presets.Settings) { set.Alerts[presets.AlertTakeStopped] = presets.Earcon }, later)
		require.Equal(t, c.want, s.ways.earcons, name)
	}
	require.Empty(t, told, "nothing for the face in it")
	s.Tell(nil)
	again(func(set *presets.Settings) { set.Alerts[presets.AlertTakeStopped] = presets.Bell }, later.Add(time.Minute))
}
