//go:build linux

package mixer_test

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/mixer"
	"rollready/capture/soundtest"
)

var stereo48 = capture.Format{RateHz: 48000, Channels: 2}

// printed gives the channels' volumes that pactl prints for a device or a
// stream, in dB, and whether it is muted. pactl is PulseAudio's own program.
func printed(t *testing.T, server *soundtest.Server, kind, name string) (volumes []float64, muted bool) {
	t.Helper()
	for _, entry := range strings.Split(server.Pactl(t, "list", kind), "\n\n") {
		if !strings.Contains(entry, "Name: "+name+"\n") && !strings.Contains(entry, "media.name = \""+name+"\"") {
			continue
		}
		line := regexp.MustCompile(`(?m)^\s*Volume: .*$`).FindString(entry)
		for _, found := range regexp.MustCompile(`([-.\d]+|-inf) dB`).FindAllStringSubmatch(line, -1) {
			db, err := strconv.ParseFloat(found[1], 64)
			require.NoError(t, err, line)
			volumes = append(volumes, db)
		}
		return volumes, strings.Contains(entry, "Mute: yes")
	}
	require.Fail(t, name+" is not listed")
	return nil, false
}

func read(t *testing.T) mixer.Snapshot {
	t.Helper()
	s, err := mixer.Read()
	require.NoError(t, err)
	return s
}

func TestVolumesAreThosePactlPrints(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	for _, to := range [][]string{{"100%"}, {"50%"}, {"0.5"}, {"153%"}, {"1"}, {"58405", "30419"}, {"80%", "0%"}} {
		for kind, id := range map[string]string{"sink": soundtest.CameraID, "source": soundtest.MicID} {
			server.Pactl(t, append([]string{"set-" + kind + "-volume", id}, to...)...)
			want, _ := printed(t, server, kind+"s", id)
			require.Len(t, want, 2)
			got := read(t).Output(id)
			if kind == "source" {
				got = read(t).Input(id)
			}
			require.True(t, got.Told && got.Volume.Known && !got.Muted, "%v: %+v", to, got)
			require.InDelta(t, slices.Max(want), got.Volume.LoudestDB, 0.006, "%v: %v", to, want)
			if lowest := slices.Min(want); math.IsInf(lowest, -1) {
				require.Equal(t, lowest, got.Volume.QuietestDB)
			} else {
				require.InDelta(t, lowest, got.Volume.QuietestDB, 0.006)
			}
			require.Equal(t, len(to) > 1, got.Volume.Uneven())
		}
	}
}

func TestMuteIsTold(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	for _, step := range []struct {
		do    []string
		muted bool
	}{
		{[]string{"set-sink-mute", soundtest.CameraID, "1"}, true},
		{[]string{"set-sink-mute", soundtest.CameraID, "0"}, false},
		{[]string{"set-sink-volume", soundtest.CameraID, "0%"}, true}, // nothing passes either
		{[]string{"set-sink-volume", soundtest.CameraID, "1%"}, false},
	} {
		server.Pactl(t, step.do...)
		require.Equal(t, step.muted, read(t).Output(soundtest.CameraID).Muted, "%v", step.do)
	}
	server.Pactl(t, "set-source-mute", soundtest.MicID, "1")
	require.True(t, read(t).Input(soundtest.MicID).Muted)
	require.Equal(t, mixer.Setting{}, read(t).Output("no such"))
}

// What arrives at the device's far end is the tone plus the volume we tell,
// turned at the device, at our stream, or at both, be the server's volumes
// flat (PulseAudio's own default) or not (Debian's).
func TestToneFallsByTheVolumeTold(t *testing.T) {
	for _, flat := range []string{"no", "yes"} {
		t.Run("flat volumes "+flat, func(t *testing.T) {
			config := filepath.Join(t.TempDir(), "daemon.conf")
			require.NoError(t, os.WriteFile(config, []byte("flat-volumes = "+flat+"\n"), 0o644))
			t.Setenv("PULSE_CONFIG", config)
			server := soundtest.Start(t, stereo48)
			out := playTone(t, system(t))
			for _, turn := range []struct {
				deviceDB, streamDB float64
			}{{0, 0}, {-6, 0}, {0, -4.5}, {-6, -4.5}, {-20, -18}, {3, -12}} {
				server.Pactl(t, "set-sink-volume", soundtest.CameraID, units(turn.deviceDB))
				server.Pactl(t, "set-sink-input-volume", streamIndex(t, server), units(turn.streamDB))
				told, measured := 0.0, 0.0
				eventually(t, func() bool {
					v := out.Volume().Volume
					told, measured = v.LoudestDB, levelDBFS(server.Record(t, soundtest.CameraID+".monitor", 200*time.Millisecond))
					return v.Known && math.Abs(measured-(-20+told)) < 0.02 && (flat == "yes" || math.Abs(told-turn.deviceDB-turn.streamDB) < 0.01)
				})
				t.Logf("device %g dB, stream %g dB: told %.3f dB, measured %.3f dB", turn.deviceDB, turn.streamDB, told, measured+20)
			}
			server.Pactl(t, "set-sink-input-mute", streamIndex(t, server), "1")
			eventually(t, func() bool { return out.Volume().Muted })
			server.Pactl(t, "set-sink-input-mute", streamIndex(t, server), "0")
			eventually(t, func() bool { return !out.Volume().Muted })
			server.Pactl(t, "set-sink-mute", soundtest.CameraID, "1")
			eventually(t, func() bool { return out.Volume().Muted })
			eventually(t, func() bool {
				return math.IsInf(levelDBFS(server.Record(t, soundtest.CameraID+".monitor", 200*time.Millisecond)), -1)
			})
		})
	}
}

// Of two streams to one device each is told its own volume.
func TestStreamsAreToldApart(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	sys := system(t)
	first := playTone(t, sys)
	one := streamIndex(t, server)
	second := playTone(t, sys)
	server.Pactl(t, "set-sink-input-volume", one, units(-9))
	eventually(t, func() bool {
		a, b := first.Volume().Volume, second.Volume().Volume
		return a.Known && b.Known && math.Abs(a.LoudestDB+9) < 0.01 && b.LoudestDB == 0
	})
}

// A server that hangs, or is gone, makes the volume unknown and hangs nobody;
// once it answers the volume is known again.
func TestVolumeIsUnknownWhileTheServerHangs(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	w := mixer.NewWatch(nil)
	defer w.Close()
	known := func() bool { return w.Now().Output(soundtest.CameraID).Told }
	eventually(t, known)
	for _, way := range []struct{ leave, back func() }{
		{server.Freeze, server.Thaw},
		{server.Kill, func() { server.Boot(t) }},
	} {
		way.leave()
		quickest := time.Hour // of several, because the machine may be busy
		eventually(t, func() bool {
			began := time.Now()
			is := !known()
			quickest = min(quickest, time.Since(began))
			return is
		})
		require.Less(t, quickest, time.Millisecond, "Now must return at once")
		way.back()
		eventually(t, known)
	}
}

// eventually waits for what must come, on a busy machine too.
func eventually(t *testing.T, ok func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !ok(); time.Sleep(5 * time.Millisecond) {
		require.True(t, time.Now().Before(end), "it did not come")
	}
}

func system(t *testing.T) *device.System {
	sys := device.NewSystem(nil)
	t.Cleanup(sys.Close)
	return sys
}

// units is a volume as pactl takes it: with a sign it would be a step.
func units(db float64) string { return strconv.Itoa(int(math.Round(65536 * math.Pow(10, db/60)))) }

func playTone(t *testing.T, sys *device.System) *device.Output {
	t.Helper()
	out, err := sys.OpenOutput(soundtest.CameraName, 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { out.Close() })
	frame := 0
	require.NoError(t, out.Start(func(block []float32) {
		for i := range block {
			block[i] = float32(0.1 * math.Sin(2*math.Pi*1000*float64(frame+i/2)/48000))
		}
		frame += len(block) / 2
	}))
	return out
}

// streamIndex is the server's number of the newest stream to a device.
func streamIndex(t *testing.T, server *soundtest.Server) string {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(server.Pactl(t, "list", "short", "sink-inputs")), "\n")
	require.NotEmpty(t, lines[0], "nothing plays")
	return strings.Fields(lines[len(lines)-1])[0]
}

// levelDBFS is the level after AES17.
func levelDBFS(samples []float32) float64 {
	sum := 0.0
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return 10 * math.Log10(2*sum/float64(len(samples)))
}
