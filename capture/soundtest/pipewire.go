//go:build unix

package soundtest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const overPipeWire = "SOUNDTEST_PIPEWIRE"

// OverPipeWire makes every server that this test starts, in it and in the
// tests it runs, PipeWire with its own session manager and bus.
func OverPipeWire(t testing.TB) {
	Need(t, "pipewire", "wireplumber", "pipewire-pulse", "dbus-daemon")
	t.Setenv(overPipeWire, "yes")
}

// pipeWireEnv keeps what PipeWire reads and remembers in the server's folder.
func (s *Server) pipeWireEnv() []string {
	return []string{"XDG_CONFIG_HOME=" + s.dir, "XDG_STATE_HOME=" + s.dir, "DBUS_SESSION_BUS_ADDRESS=unix:path=" + s.bus()}
}

func (s *Server) bus() string { return filepath.Join(s.dir, "bus") }

// bootPipeWire starts the four processes that a desktop's session starts, and
// adds room, camera and microphone as PulseAudio's programs do.
func (s *Server) bootPipeWire(t testing.TB) {
	config := filepath.Join(s.dir, "pipewire", "pipewire.conf.d")
	rate := fmt.Sprintf("context.properties = { default.clock.rate = %d }\n", s.format.RateHz)
	err := os.MkdirAll(config, 0o700)
	if err == nil {
		err = os.WriteFile(filepath.Join(config, "rate.conf"), []byte(rate), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, left := range []string{s.bus(), s.socket(), filepath.Join(s.dir, "pipewire-0")} {
		_ = os.Remove(left)
	}
	there := func(path string) func() bool {
		return func() bool { _, err := os.Stat(path); return err == nil }
	}
	s.run(t, there(s.bus()), "dbus-daemon", "--session", "--nofork", "--nopidfile", "--address=unix:path="+s.bus())
	s.run(t, there(filepath.Join(s.dir, "pipewire-0")), "pipewire")
	s.run(t, s.answers, "pipewire-pulse")
	s.run(t, func() bool { return strings.Contains(s.control(t, "list", "short", "clients"), "wireplumber") }, "wireplumber")
	for _, module := range []string{sinkModule(RoomID, "Room", s.format), sinkModule(CameraID, CameraName, s.format), s.micModule(MicID, MicName)} {
		s.load(t, module)
	}
}
