//go:build linux

package rig

import (
	"math"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/recording"
	"rollready/capture/rescue"
	"rollready/capture/soundtest"
	"rollready/capture/take"
	"rollready/dsp/earcon"
	"rollready/presets"
)

// A microphone is pulled while a take rolls. The headphones tell of it at their
// level; neither the camera nor the take gets anything above −120 dBFS.
func TestEarconsAreForTheHeadphonesAlone(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	server.AddSink(t, "phones", "Phones", capture.Format{RateHz: 48000, Channels: 2})
	store, err := presets.Open(filepath.Join(t.TempDir(), "config"))
	require.NoError(t, err)
	set := presets.DefaultSettings()
	set.Recording.Dir, set.Recording.SilenceS = t.TempDir(), 0
	set.Alerts[presets.AlertInputLost] = presets.Earcon
	var last rescue.Rescue
	system := device.NewSystem(last.Go)
	defer system.Close()
	r, err := Open(t.Context(), Options{System: system, Rescue: &last, Store: store, Kept: set, Settings: set, Camera: presets.NewCamera("b camera"),
		Input: Input{Choice: soundtest.MicName}, Outputs: [2]string{"Phones", soundtest.CameraName},
		Warn: func(err error) {
			if err != nil {
				t.Log(err)
			}
		}})
	require.NoError(t, err)
	defer r.Close()
	_, err = r.ToggleMute()
	require.NoError(t, err)
	level, muted, err := r.StepLevel(10)
	require.NoError(t, err)
	require.False(t, muted)
	rolled, err := r.Roll(take.What{Scene: "12A"})
	require.NoError(t, err)
	heard := 0.0
	for try := 0; heard == 0 && try < 6; try++ { // where the recording began too late, or the alert had to wait
		var phones, camera []float32
		var both sync.WaitGroup
		both.Go(func() { phones = server.Record(t, "phones.monitor", 6*time.Second) })
		both.Go(func() { camera = server.Record(t, soundtest.CameraID+".monitor", 6*time.Second) })
		time.Sleep(time.Second)
		server.RemoveMic(t)
		both.Wait()
		require.Len(t, camera, len(phones))
		require.Less(t, highest(camera), 1e-6, "−120 dBFS")
		heard = highest(phones)
		server.ReturnMic(t)
	}
	require.InDelta(t, earcon.PeakDBFS+level, 20*math.Log10(heard), 0.5)
	_, err = r.Stop()
	require.NoError(t, err)
	file, err := recording.Open(t.Context(), rolled.Path)
	require.NoError(t, err)
	defer file.Close()
	require.Greater(t, file.Frames(), int64(5*48000))
	block := make([]float32, 4800*file.Format().Channels)
	for top := 0.0; ; {
		n, err := file.Read(block)
		if err != nil {
			break
		}
		top = max(top, highest(block[:n*file.Format().Channels]))
		require.Less(t, top, 1e-6, "−120 dBFS")
	}
}

func highest(x []float32) (top float64) {
	for _, v := range x {
		top = max(top, math.Abs(float64(v)))
	}
	return top
}
