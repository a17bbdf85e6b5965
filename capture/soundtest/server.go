//go:build unix

package soundtest

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"rollready/capture"
)

// Names of the server's devices: the id PulseAudio knows them by, and the
// description a person reads. What is played to Room is heard by Mic; what
// our programs play to Camera can be recorded.
const (
	RoomID     = "room"
	MicID      = "field_mic"
	MicName    = "Field Mic"
	CameraID   = "camera_in"
	CameraName = "Camera In"
)

// Server is a running private sound server. Its methods fail the test where
// they can't do their work. One per test at a time: it sets the environment
// variables by which programs and this process find it.
type Server struct {
	format capture.Format
	dir    string
	env    []string
	cmd    *exec.Cmd
	prompt map[string]*exec.Cmd // see keepPrompt, by the sink's id
}

// Start runs a server whose room, microphone and camera have the given
// format, and ends it with the test.
func Start(t testing.TB, f capture.Format) *Server {
	t.Helper()
	Need(t, "pulseaudio", "pactl", "pacat")
	goAhead()
	s := &Server{format: f, dir: socketDir(t), prompt: map[string]*exec.Cmd{}}
	s.env = append(os.Environ(), NoServerEnv(s.dir)...)
	t.Setenv("XDG_RUNTIME_DIR", s.dir)
	t.Setenv("PULSE_SERVER", s.Address())
	s.Boot(t)
	return s
}

// Boot starts the server's process: for the second time, after Kill.
func (s *Server) Boot(t testing.TB) {
	t.Helper()
	sink := fmt.Sprintf("format=float32le rate=%d channels=%d channel_map=%s", s.format.RateHz, s.format.Channels, channelMap(s.format.Channels))
	args := []string{"-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=120", "--realtime=no", "--high-priority=no",
		"--load=module-null-sink sink_name=" + RoomID + " sink_properties=device.description=Room " + sink,
		"--load=module-null-sink sink_name=" + CameraID + " " + description("sink", CameraName) + " " + sink,
		"--load=" + s.micModule(),
		"--load=module-native-protocol-unix auth-anonymous=1 socket=" + filepath.Join(s.dir, "native")}
	var log bytes.Buffer
	s.cmd = exec.Command("pulseaudio", args...)
	s.cmd.Env, s.cmd.Stderr = s.env, &log
	if err := s.cmd.Start(); err != nil {
		t.Fatalf("start the sound server: %v", err)
	}
	t.Cleanup(s.Kill)
	if !until(10*time.Second, s.answers) {
		s.Kill()
		t.Fatalf("the sound server does not answer: %s", log.String())
	}
	for _, sink := range []string{RoomID, CameraID} {
		s.keepPrompt(t, sink, s.format)
	}
	s.control(t, "set-default-source", MicID)
	s.control(t, "set-default-sink", CameraID)
}

// keepPrompt listens to a sink for as long as the server runs: an idle null
// sink renders two seconds ahead, and the next frames come that late. What it
// has rendered already is thrown away by suspending it. Who listened to a sink
// of the same name before, which is gone, now listens elsewhere: it ends.
func (s *Server) keepPrompt(t testing.TB, sinkID string, f capture.Format) {
	t.Helper()
	s.control(t, "suspend-sink", sinkID, "1")
	before := s.listeners(t)
	cmd := s.client(f, "--record", "--device="+sinkID+".monitor")
	if err := cmd.Start(); err != nil {
		t.Fatalf("listen to %s: %v", sinkID, err)
	}
	if !until(10*time.Second, func() bool { return s.listeners(t) > before }) {
		t.Fatalf("nobody listens to %s", sinkID)
	}
	if old := s.prompt[sinkID]; old != nil {
		_ = old.Process.Kill()
		_ = old.Wait()
	}
	s.prompt[sinkID] = cmd
	s.control(t, "suspend-sink", sinkID, "0")
}

func (s *Server) listeners(t testing.TB) int {
	t.Helper()
	return strings.Count(s.control(t, "list", "short", "source-outputs"), "\n")
}

// Kill ends the server at once, as a crash would.
func (s *Server) Kill() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	s.cmd = nil
	for _, cmd := range s.prompt {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}
	clear(s.prompt)
}

// Freeze stops the server's process without ending it, as a hang would;
// Thaw lets it go on.
func (s *Server) Freeze() { _ = s.cmd.Process.Signal(syscall.SIGSTOP) }

// Thaw: see Freeze.
func (s *Server) Thaw() { _ = s.cmd.Process.Signal(syscall.SIGCONT) }

// Address is the server's address as PULSE_SERVER takes it.
func (s *Server) Address() string { return "unix:" + filepath.Join(s.dir, "native") }

// RemoveMic takes the microphone away, as pulling its plug does.
func (s *Server) RemoveMic(t testing.TB) {
	t.Helper()
	for line := range strings.Lines(s.control(t, "list", "short", "modules")) {
		if strings.Contains(line, "source_name="+MicID+" ") {
			s.control(t, "unload-module", strings.Fields(line)[0])
		}
	}
}

// ReturnMic plugs the microphone in again.
func (s *Server) ReturnMic(t testing.TB) {
	t.Helper()
	module, args, _ := strings.Cut(s.micModule(), " ")
	s.control(t, "load-module", module, args)
}

// AddMic adds a second microphone that hears the room.
func (s *Server) AddMic(t testing.TB, id, name string) {
	t.Helper()
	s.control(t, "load-module", "module-remap-source", "source_name="+id, "master="+RoomID+".monitor", description("source", name))
}

// AddSink adds an output, such as headphones, with a rate of its own.
func (s *Server) AddSink(t testing.TB, id, name string, f capture.Format) {
	t.Helper()
	s.control(t, "load-module", "module-null-sink", "sink_name="+id, description("sink", name), "format=float32le",
		fmt.Sprintf("rate=%d", f.RateHz), fmt.Sprintf("channels=%d", f.Channels), "channel_map="+channelMap(f.Channels))
	s.keepPrompt(t, id, f)
}

func (s *Server) micModule() string {
	return "module-remap-source source_name=" + MicID + " master=" + RoomID + ".monitor " + description("source", MicName)
}

// channelMap names the channels: those of an interface with many are just
// numbered.
func channelMap(channels int) string {
	switch channels {
	case 1:
		return "mono"
	case 2:
		return "front-left,front-right"
	}
	names := make([]string, channels)
	for i := range names {
		names[i] = fmt.Sprintf("aux%d", i)
	}
	return strings.Join(names, ",")
}

// description words a name for a module's arguments, which split at spaces.
func description(what, name string) string {
	return what + `_properties="device.description='` + name + `'"`
}

func (s *Server) control(t testing.TB, args ...string) string {
	t.Helper()
	cmd := exec.Command("pactl", args...)
	cmd.Env = append(slices.Clip(s.env), "PULSE_SERVER="+s.Address())
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("pactl %s: %v: %s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

func (s *Server) answers() bool {
	conn, err := net.Dial("unix", filepath.Join(s.dir, "native"))
	if err == nil {
		conn.Close()
	}
	return err == nil
}

// NoServer hides every sound server from this process and its children for
// the length of the test.
func NoServer(t testing.TB) {
	for _, pair := range NoServerEnv(socketDir(t)) {
		name, value, _ := strings.Cut(pair, "=")
		t.Setenv(name, value)
	}
}

// NoServerEnv is the environment in which no sound server can be found: all
// of a server's places lie in dir, which should be empty.
func NoServerEnv(dir string) []string {
	return []string{"XDG_RUNTIME_DIR=" + dir, "PULSE_RUNTIME_PATH=" + dir, "PULSE_STATE_PATH=" + dir, "PULSE_COOKIE=" + filepath.Join(dir, "cookie"),
		"PULSE_SERVER=unix:" + filepath.Join(dir, "nobody"), "DBUS_SESSION_BUS_ADDRESS=unix:path=" + filepath.Join(dir, "nobus"), "JACK_NO_START_SERVER=1"}
}

// Need skips the test, or fails it where CI=true, if a program is missing.
func Need(t testing.TB, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err == nil {
			continue
		}
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is missing: install the Debian package %s", p, packages[p])
		}
		t.Skipf("%s is missing: install the Debian package %s", p, packages[p])
	}
}

// packages are Debian's, by the programs that tests need of them.
var packages = map[string]string{"pulseaudio": "pulseaudio", "pactl": "pulseaudio-utils", "pacat": "pulseaudio-utils",
	"ffmpeg": "ffmpeg", "ffprobe": "ffmpeg", "soxi": "sox", "espeak-ng": "espeak-ng", "sox": "sox", "tmux": "tmux", "script": "bsdutils", "strace": "strace",
	"/usr/lib/wine/wine64": "wine64", "x86_64-w64-mingw32-gcc": "gcc-mingw-w64-x86-64", "dbus-daemon": "dbus", "ssh": "openssh-client", "ssh-keygen": "openssh-client"}

// socketDir is a directory with a path short enough for a socket's name.
func socketDir(t testing.TB) string {
	dir, err := os.MkdirTemp("", "sound")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// until waits for a condition; false when the time ran out.
func until(limit time.Duration, done func() bool) bool {
	for deadline := time.Now().Add(limit); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if done() {
			return true
		}
	}
	return false
}
