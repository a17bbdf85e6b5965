//go:build linux

package main

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// units is a volume as pactl takes it, on PulseAudio's cubic scale.
func units(db float64) string { return strconv.Itoa(int(math.Round(65536 * math.Pow(10, db/60)))) }

// seenIn finds a device in a list.
func seenIn(t *testing.T, list []seenDevice, name string) seenDevice {
	t.Helper()
	at := slices.IndexFunc(list, func(d seenDevice) bool { return d.Name == name })
	require.GreaterOrEqual(t, at, 0, name)
	return list[at]
}

func TestDevicesTellTheirVolumes(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	u := newListener(t)
	server.Pactl(t, "set-sink-volume", soundtest.CameraID, units(-6), units(-9))
	server.Pactl(t, "set-source-volume", soundtest.MicID, units(-12))
	server.Pactl(t, "set-sink-mute", soundtest.RoomID, "1")
	seen := objects[seenDevices](t, u.ok("devices", "--json"))[0]
	camera := seenIn(t, seen.Outputs, soundtest.CameraName)
	require.InDelta(t, -6, *camera.Volume, 0.01)
	require.InDelta(t, -9, *camera.Quietest, 0.01)
	require.False(t, *camera.Muted)
	require.InDelta(t, -12, *seenIn(t, seen.Inputs, soundtest.MicName).Volume, 0.01)
	require.True(t, *seenIn(t, seen.Outputs, "Room").Muted)
	table := u.ok("devices")
	for _, text := range []string{"VOLUME", "−6.0 to −9.0 dB", "−12.0 dB", "muted"} {
		require.Contains(t, table, text)
	}
}
