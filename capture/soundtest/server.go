//go:build unix

package soundtest

import (
	"bytes"
	"fmt"
	"maps"
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
	boot   func(testing.TB) // starts what answers at Address, with a room, a camera and a microphone
	cmds   []*exec.Cmd
	prompt map[string]*exec.Cmd // see keepPrompt, by the sink's id
}

// Start runs a server whose room, microphone and camera have the given
// format, and ends it with the test. It is PulseAudio, or PipeWire after
// [OverPipeWire].
func Start(t testing.TB, f capture.Format) *Server {
	t.Helper()
	Need(t, "pactl", "pacat")
	goAhead()
	s := &Server{format: f, dir: socketDir(t), prompt: map[string]*exec.Cmd{}}
	s.env = append(os.Environ(), NoServerEnv(s.dir)...)
	if s.boot = s.bootPulseAudio; os.Getenv(overPipeWire) != "" {
		s.boot = s.bootPipeWire
		s.env = append(s.env, s.pipeWireEnv()...)
	}
	t.Setenv("XDG_RUNTIME_DIR", s.dir)
	t.Setenv("PULSE_SERVER", s.Address())
	s.Boot(t)
	return s
}

// Boot starts the server's processes: for the second time, after Kill.
func (s *Server) Boot(t testing.TB) {
	t.Helper()
	t.Cleanup(s.Kill)
	s.boot(t)
	s.control(t, "set-default-source", MicID)
	s.control(t, "set-default-sink", CameraID)
}

func (s *Server) bootPulseAudio(t testing.TB) {
	Need(t, "pulseaudio")
	args := []string{"-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=120", "--realtime=no", "--high-priority=no",
		"--load=" + sinkModule(RoomID, "Room", s.format), "--load=" + sinkModule(CameraID, CameraName, s.format), "--load=" + s.micModule(MicID, MicName),
		"--load=module-native-protocol-unix auth-anonymous=1 socket=" + s.socket()}
	s.run(t, s.answers, "pulseaudio", args...)
	for _, sink := range []string{RoomID, CameraID} {
		s.keepPrompt(t, sink, s.format)
	}
}

// run starts one of the server's processes and waits until it is ready.
func (s *Server) run(t testing.TB, ready func() bool, program string, args ...string) {
	t.Helper()
	var log bytes.Buffer
	cmd := exec.Command(program, args...)
	cmd.Env, cmd.Stdout, cmd.Stderr = s.env, &log, &log
	if err := cmd.Start(); err != nil {
		t.Fatalf("start the sound server: %v", err)
	}
	s.cmds = append(s.cmds, cmd)
	if !until(10*time.Second, ready) {
		s.Kill()
		t.Fatalf("the sound server's %s does not answer: %s", program, log.String())
	}
}

// keepPrompt listens to a sink for as long as the server runs: an idle null
// sink renders two seconds ahead, and the next frames come that late. What it
// has rendered already is thrown away by suspending it. Who listened to a sink
// of the same name before, which is gone, now listens elsewhere: it ends.
func (s *Server) keepPrompt(t testing.TB, sinkID string, f capture.Format) {
	if os.Getenv(overPipeWire) != "" { // renders as it goes
		return
	}
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
	cmds := slices.AppendSeq(s.cmds, maps.Values(s.prompt))
	for _, cmd := range cmds {
		_ = cmd.Process.Kill()
	}
	for _, cmd := range cmds {
		_ = cmd.Wait()
	}
	s.cmds = nil
	clear(s.prompt)
}

// Freeze stops the server's processes without ending them, as a hang would;
// Thaw lets them go on.
func (s *Server) Freeze() { s.signal(syscall.SIGSTOP) }

// Thaw: see Freeze.
func (s *Server) Thaw() { s.signal(syscall.SIGCONT) }

func (s *Server) signal(what os.Signal) {
	for _, cmd := range s.cmds {
		_ = cmd.Process.Signal(what)
	}
}

// Address is the server's address as PULSE_SERVER takes it.
func (s *Server) Address() string { return "unix:" + s.socket() }

func (s *Server) socket() string { return filepath.Join(s.dir, "native") }

// RemoveMic takes the microphone away, as pulling its plug does.
func (s *Server) RemoveMic(t testing.TB) {
	t.Helper()
	s.RemoveSource(t, MicID)
}

// RemoveSource does the same with another microphone.
func (s *Server) RemoveSource(t testing.TB, id string) {
	t.Helper()
	s.unload(t, "source_name="+id)
}

func (s *Server) unload(t testing.TB, what string) {
	t.Helper()
	for line := range strings.Lines(s.control(t, "list", "short", "modules")) {
		if strings.Contains(line, what+" ") {
			s.control(t, "unload-module", strings.Fields(line)[0])
		}
	}
}

// ReturnMic plugs the microphone in again.
func (s *Server) ReturnMic(t testing.TB) {
	t.Helper()
	s.load(t, s.micModule(MicID, MicName))
}

func (s *Server) load(t testing.TB, module string) {
	t.Helper()
	name, args, _ := strings.Cut(module, " ")
	s.control(t, "load-module", name, args)
}

// AddMic adds a second microphone that hears the room.
func (s *Server) AddMic(t testing.TB, id, name string) {
	t.Helper()
	s.load(t, s.micModule(id, name))
}

// AddSink adds an output, such as headphones, with a rate of its own.
func (s *Server) AddSink(t testing.TB, id, name string, f capture.Format) {
	t.Helper()
	s.load(t, sinkModule(id, name, f))
	s.keepPrompt(t, id, f)
}

// RemoveSink takes an output away.
func (s *Server) RemoveSink(t testing.TB, id string) {
	t.Helper()
	s.unload(t, "sink_name="+id)
}

func sinkModule(id, name string, f capture.Format) string {
	return "module-null-sink sink_name=" + id + " " + description("sink", name) + " format=float32le" + arguments(f)
}

func (s *Server) micModule(id, name string) string {
	return "module-remap-source source_name=" + id + " master=" + RoomID + ".monitor " + description("source", name) + arguments(s.format)
}

// arguments words a format for a module. PipeWire takes two channels for a
// microphone of which it is not told.
func arguments(f capture.Format) string {
	return fmt.Sprintf(" rate=%d channels=%d channel_map=%s", f.RateHz, f.Channels, channelMap(f.Channels))
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
	conn, err := net.Dial("unix", s.socket())
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
	"pipewire": "pipewire", "wireplumber": "wireplumber", "pipewire-pulse": "pipewire-pulse",
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
