//go:build linux

package tui

import (
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/presets"
	"rollready/tui/panetest"
	"rollready/tui/share"
)

// shared serves a program to viewers, and gives the command line for one.
func shared(t *testing.T, r *root) (s *share.Server, line string) {
	t.Helper()
	soundtest.Need(t, "ssh", "ssh-keygen", "tmux")
	dir := t.TempDir()
	key := filepath.Join(dir, "phone")
	out, err := exec.Command("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", key).CombinedOutput()
	require.NoError(t, err, "%s", out)
	s, err = share.Listen(share.Options{Address: "0", HostKey: filepath.Join(dir, "host_key"), Keys: key + ".pub",
		Look: Glance(r.desk.Rig, func(f func()) { go f() })})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() })
	_, port, _ := net.SplitHostPort(s.Address())
	return s, "ssh -F none -p " + port + " -i " + key + " -o IdentityAgent=none -o StrictHostKeyChecking=no -o UserKnownHostsFile=/dev/null 127.0.0.1"
}

// TestGlanceOverSSH: with the system's ssh in a real terminal the Monitor is
// seen, the far view comes and goes, a change of size is followed, a marker is
// set where viewers may, and the terminal is clean at the end.
func TestGlanceOverSSH(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) {
		o.parts.Settings.Viewers = presets.ViewersMark
		rollFake(o.parts.Recorder.(*fakeRecorder), 763*time.Second)
	}, 80, 24)
	s, line := shared(t, r)
	p := panetest.Open(t, 100, 30, os.Environ())
	p.Line(line)
	p.WaitFor("z far view")
	p.WaitFor("REC")
	require.Equal(t, 1, s.Viewers())
	p.Keys("m")
	require.Eventually(t, func() bool { return len(r.desk.Rig.State().Rec.Take.Markers) == 3 }, time.Minute, 10*time.Millisecond)
	p.Keys("z")
	p.Until("the far view", func(screen string) bool { return !strings.Contains(screen, "headroom") })
	p.Keys("x")
	p.WaitFor("z far view")
	p.Keys("q")
	p.WaitFor("Connection to 127.0.0.1 closed")
	require.Eventually(t, func() bool { return s.Viewers() == 0 }, time.Minute, 10*time.Millisecond)
	p.Line("echo it is $((40+2))")
	p.WaitFor("it is 42")
}
