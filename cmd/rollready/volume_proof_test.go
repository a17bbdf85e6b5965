//go:build proof && linux

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

func turn(t *testing.T, server *soundtest.Server, db float64) {
	t.Helper()
	server.Pactl(t, "set-sink-volume", soundtest.CameraID, units(db))
}

// keptVolume is the volume of a camera's line-up that camera show prints for
// scripts, nil for null.
func keptVolume(u user, camera string) any {
	var seen map[string]any
	require.NoError(u.t, json.Unmarshal([]byte(u.ok("camera", "show", camera, "--json")), &seen))
	require.Contains(u.t, seen, "lined_up_volume_db")
	return seen["lined_up_volume_db"]
}

// The volume at which the tone was read is kept, and not the one it is turned
// to afterwards; a mute is said.
func TestProofLineupToneKeepsTheVolume(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	turn(t, server, -6)
	u := newListener(t)
	cmd := u.command("lineup", "tone", "--camera-output", soundtest.CameraName, "--camera", "d camera", "--new")
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	words, err := cmd.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	said := bufio.NewReader(words)
	until(t, said, `the system has "Camera In" at −6.0 dB`)
	eventually(t, "−26 dBFS at the camera", func() bool { return near(hears(t, server), -26) })
	fmt.Fprintln(in, "reads -20")
	until(t, said, "offset 0.0 dB")
	turn(t, server, -10)
	until(t, said, `at −10.0 dB`)
	server.Pactl(t, "set-sink-mute", soundtest.CameraID, "1")
	until(t, said, `the system mutes "Camera In": unmute it there`)
	fmt.Fprintln(in, "stop")
	rest, _ := io.ReadAll(said)
	require.NoError(t, cmd.Wait())
	require.Contains(t, string(rest), "kept in camera")
	require.Contains(t, u.ok("camera", "show", "d camera"), "Camera In, volume −6.0 dB")
	require.InDelta(t, -6, keptVolume(u, "d camera"), 0.01)
}

// Without a tone the volume is that of the output, now; without an output of
// that name it is unknown, and so it is for a clip, unless it is given.
func TestProofVolumeWhereNothingIsSent(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	turn(t, server, -3)
	u := newListener(t)
	show := func() string { return u.ok("camera", "show", "b camera") }
	r := u.run("lineup", "tone", "--reads", "-14", "--camera", "b camera", "--new", "--with", soundtest.CameraName)
	require.Contains(t, r.err, `"Camera In" at −3.0 dB now`)
	require.Contains(t, show(), "volume −3.0 dB")
	turn(t, server, -4)
	u.run("lineup", "tone", "--reads", "-14", "--camera", "b camera")
	require.Contains(t, show(), "volume −4.0 dB", "over the output of the line-up before")
	r = u.run("lineup", "tone", "--reads", "-14", "--camera", "b camera", "--with", "no such")
	require.Contains(t, r.err, `output "no such" is not there now: kept by this name`)
	require.Contains(t, r.err, "the output's volume then is unknown")
	require.Contains(t, show(), "volume unknown")
	for _, id := range []string{"left", "right"} {
		server.AddSink(t, id, "USB Adapter", stereo48)
	}
	r = u.run("lineup", "tone", "--reads", "-10", "--camera", "b camera", "--with", "USB Adapter")
	require.Equal(t, 2, r.code)
	require.Equal(t, "rollready: --with: output \"USB Adapter\" could be \"USB Adapter\" (left), \"USB Adapter\" (right): write more of the name, or the id\n", r.err)
	require.Contains(t, show(), "no such", "nothing is kept")
	require.Zero(t, u.run("lineup", "tone", "--reads", "-10", "--camera", "b camera", "--with", "right").code)
	require.Contains(t, show(), "USB Adapter (id:pulseaudio:right)")
	clip := sequenceFile(t, u)
	require.Zero(t, u.run("lineup", "read", clip, "--camera", "b camera", "--volume", "-7.5").code)
	require.Contains(t, show(), "volume −7.5 dB")
	r = u.run("lineup", "read", clip, "--camera", "b camera")
	require.Contains(t, r.err, "the output's volume then is unknown")
	require.Contains(t, show(), "volume unknown")
	require.Nil(t, keptVolume(u, "b camera"))
	require.Contains(t, u.run("lineup", "read", clip, "--volume", "loud").err, "--volume")
}

// The volume is turned after the line-up: the reminder says so, and every
// screen while the camera is fed; set back, all is well again.
func TestProofScreenWarnsOfAChangedVolume(t *testing.T) {
	server := soundtest.Start(t, stereo48)
	server.Tone(t, 300, 0.1)
	turn(t, server, -6)
	p := openCamera(t, "--input", soundtest.MicName, "--camera", "b camera", "--camera-output", soundtest.CameraName)
	p.open("Line-up")
	p.WaitFor("Volume       −6.0 dB")
	p.Keys("Space")
	p.WaitFor("Headphones off?") // nothing sounds unasked
	p.Keys("Enter")
	p.WaitFor("Tone         ON")
	eventually(t, "−26 dBFS at the camera", func() bool { return near(hears(t, server), -26) })
	p.Keys("e")
	p.WaitFor("Tone of −20.0 dBFS")
	p.Instead("-14")
	p.WaitFor("Mic level on the camera now")
	p.Instead("manual, step 2")
	p.WaitFor("manual, step 2")
	server.Pactl(t, "set-sink-mute", soundtest.CameraID, "1")
	p.WaitFor("MUTED  The system mutes this output")
	server.Pactl(t, "set-sink-mute", soundtest.CameraID, "0")
	p.WaitFor("TONE ON")
	p.Keys("Space")
	p.WaitFor("Tone         off")
	const warning, alarm = "Camera In is at −12.0 dB, at line-up at −6.0 dB", "is at −12.0 dB, at line-up at −6.0 dB"
	p.open("Reminder")
	p.WaitFor("over Camera In at −6.0 dB")
	require.NotContains(t, p.Screen(), "at line-up")
	turn(t, server, -12)
	p.WaitFor(warning)
	p.WaitFor(alarm)
	p.open("Monitor")
	p.WaitFor("The camera meter is wrong")
	p.open("Reminder")
	turn(t, server, -6)
	gone(p, warning)
	gone(p, alarm)
	// Our own stream through the output is turned: it counts as much.
	server.Pactl(t, "set-sink-input-volume", firstStream(t, server), units(-6))
	p.WaitFor(warning)
	server.Pactl(t, "set-sink-input-volume", firstStream(t, server), units(0))
	gone(p, warning)
	server.Pactl(t, "set-sink-mute", soundtest.CameraID, "1")
	p.WaitFor("The system mutes Camera In")
	p.WaitFor("The system mutes Camera In.")
	server.Freeze() // hangs: the screen does not, and nothing is claimed
	gone(p, "The system mutes Camera In")
	p.Keys("Down")
	server.Thaw()
	p.WaitFor("The system mutes Camera In")
}

// gone waits until the screen shows a text no more.
func gone(s *screen, text string) {
	s.Helper()
	s.Until("no "+text, func(screen string) bool { return !strings.Contains(screen, text) })
}

// firstStream is the server's number of the oldest stream to a device that
// this program plays.
func firstStream(t *testing.T, server *soundtest.Server) string {
	t.Helper()
	number := ""
	for line := range strings.Lines(server.Pactl(t, "list", "sink-inputs")) {
		if after, ok := strings.CutPrefix(line, "Sink Input #"); ok {
			number = strings.TrimSpace(after)
		}
		if strings.Contains(line, `media.name = "rollready `) {
			return number
		}
	}
	require.Fail(t, "nothing of ours plays")
	return ""
}
