//go:build unix

package share

import (
	"bytes"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// place is a server with two keys, of which only one may look.
type place struct {
	*testing.T
	*Server
	dir    string
	looked atomic.Int32
}

// look writes a picture, and ends with the first key.
func (p *place) look(v Viewer) error {
	p.looked.Add(1)
	size := <-v.Sizes
	_, err := fmt.Fprintf(v.Picture, "picture of %d x %d\r\n", size.Columns, size.Rows)
	if err == nil {
		_, err = v.Keys.Read(make([]byte, 1))
	}
	if err == io.EOF {
		err = nil
	}
	return err
}

func open(t *testing.T, look func(*place, Viewer) error, idle time.Duration) *place {
	t.Helper()
	soundtest.Need(t, "ssh", "ssh-keygen")
	p := &place{T: t, dir: t.TempDir()}
	for _, name := range []string{"right", "wrong"} {
		p.run("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", name, "-f", filepath.Join(p.dir, name))
	}
	key, err := os.ReadFile(filepath.Join(p.dir, "right.pub"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(p.keys(), append([]byte("# the phone\nno key\n"), key...), 0o600))
	o := Options{Address: "0", HostKey: filepath.Join(p.dir, "share", "host_key"), Keys: p.keys(), Look: func(v Viewer) error { return look(p, v) }}
	p.Server, err = listen(o, idle)
	require.NoError(t, err)
	t.Cleanup(func() { _ = p.Close() })
	return p
}

func (p *place) keys() string { return filepath.Join(p.dir, "keys") }

func (p *place) run(name string, args ...string) string {
	p.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(p, err, "%s", out)
	return string(out)
}

// client is the system's ssh with a key.
func (p *place) client(key string, args ...string) *exec.Cmd {
	_, port, _ := net.SplitHostPort(p.Address())
	all := []string{"-F", "none", "-p", port, "-i", filepath.Join(p.dir, key), "-o", "IdentitiesOnly=yes", "-o", "IdentityAgent=none",
		"-o", "StrictHostKeyChecking=accept-new", "-o", "UserKnownHostsFile=" + filepath.Join(p.dir, "known"), "-o", "ConnectTimeout=20",
		"-o", "NumberOfPasswordPrompts=1", "-o", "BatchMode=yes"}
	cmd := exec.Command("ssh", append(append(all, args...), "viewer@127.0.0.1")...)
	cmd.Env = append(os.Environ(), "SSH_AUTH_SOCK=", "TERM=xterm-256color")
	return cmd
}

// TestKeysOnly: with a key that stands in the file there is a picture; without,
// with another, or by password there is none, and nothing was drawn.
func TestKeysOnly(t *testing.T) {
	p := open(t, (*place).look, idle)
	cmd := p.client("right", "-tt")
	cmd.Stdin = strings.NewReader("q")
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "picture of")
	require.Equal(t, int32(1), p.looked.Load())
	for name, c := range map[string]*exec.Cmd{
		"another key": p.client("wrong", "-tt"),
		"no key":      p.client("right", "-tt", "-o", "PubkeyAuthentication=no"),
		"password":    p.client("right", "-tt", "-o", "PreferredAuthentications=password,keyboard-interactive"),
		"none":        p.client("right", "-tt", "-o", "PreferredAuthentications=none"),
	} {
		out, err := c.CombinedOutput()
		require.Error(t, err, name)
		require.Contains(t, string(out), "Permission denied (publickey)", name)
	}
	require.Equal(t, int32(1), p.looked.Load())

	// Taken out of the file, a key opens no more.
	require.NoError(t, os.WriteFile(p.keys(), nil, 0o600))
	out, err = p.client("right", "-tt").CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(out), "Permission denied (publickey)")
}

// TestNothingButAPicture: no command, subsystem or forwarding, and nothing
// without a terminal.
func TestNothingButAPicture(t *testing.T) {
	p := open(t, (*place).look, idle)
	command := p.client("right")
	command.Args = append(command.Args, "cat", p.keys())
	for name, c := range map[string]*exec.Cmd{
		"command":     command,
		"subsystem":   p.client("right", "-s"),
		"no terminal": p.client("right", "-T"),
		"backwards":   p.client("right", "-N", "-o", "ExitOnForwardFailure=yes", "-R", "0:127.0.0.1:22"),
	} {
		if name == "subsystem" {
			c.Args = append(c.Args, "sftp")
		}
		c.Stdin = strings.NewReader("")
		out, err := c.CombinedOutput()
		require.Error(t, err, name)
		require.NotContains(t, string(out), "ssh-ed25519", name)
	}
	out, err := p.client("right", "-W", "127.0.0.1:22").CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(out), "channel")
	require.Zero(t, p.looked.Load())
}

// TestHostKey: it is the owner's alone, stays, and its fingerprint is what
// ssh-keygen makes of it.
func TestHostKey(t *testing.T) {
	p := open(t, (*place).look, idle)
	path := filepath.Join(p.dir, "share", "host_key")
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.Contains(t, p.run("ssh-keygen", "-lf", path), " "+p.Fingerprint()+" ")
	again, err := Listen(Options{Address: "0", HostKey: path, Keys: p.keys()})
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, p.Fingerprint(), again.Fingerprint())
	require.True(t, strings.HasPrefix(again.Address(), "127.0.0.1:"), "this machine only")
	require.NoError(t, os.WriteFile(path, []byte("broken"), 0o600))
	_, err = Listen(Options{Address: "0", HostKey: path, Keys: p.keys()})
	require.ErrorContains(t, err, "move it away")
}

func TestWhatCantBeShared(t *testing.T) {
	dir := t.TempDir()
	keys := filepath.Join(dir, "keys")
	_, err := Listen(Options{Address: "0", Keys: keys, HostKey: filepath.Join(dir, "host")})
	require.ErrorContains(t, err, "nobody may look yet: put the phone's public key, one a line, into "+keys)
	require.NoError(t, os.WriteFile(keys, []byte("\nssh-ed25519 AAAA torn\n"), 0o600))
	_, err = Listen(Options{Address: "0", Keys: keys, HostKey: filepath.Join(dir, "host")})
	require.ErrorContains(t, err, "nobody may look yet")
	for _, bad := range []string{"", "no port", "127.0.0.1", "1.2.3.4:99999", ":"} {
		_, err := Listen(Options{Address: bad})
		require.ErrorContains(t, err, "give a port", bad)
	}
}

// shown collects what a client was sent.
type shown struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shown) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(b)
}

func (s *shown) has(text string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return strings.Contains(s.b.String(), text)
}

// TestTwentyClients: four get a picture and keep it, all others are turned
// away, and when the four have left another comes in.
func TestTwentyClients(t *testing.T) {
	p := open(t, (*place).look, idle)
	type guest struct {
		cmd  *exec.Cmd
		in   io.WriteCloser
		out  shown
		done chan struct{}
	}
	var all [20]guest
	for i := range all {
		g := &all[i]
		g.cmd, g.done = p.client("right", "-tt"), make(chan struct{})
		g.cmd.Stdout, g.cmd.Stderr = &g.out, &g.out
		var err error
		g.in, err = g.cmd.StdinPipe()
		require.NoError(t, err)
		require.NoError(t, g.cmd.Start())
		go func() { _ = g.cmd.Wait(); close(g.done) }()
	}
	in := func() (looking, away int) {
		for i := range all {
			select {
			case <-all[i].done:
				away++
			default:
				if all[i].out.has("picture of") {
					looking++
				}
			}
		}
		return looking, away
	}
	require.Eventually(t, func() bool { looking, away := in(); return looking == MaxViewers && away == len(all)-MaxViewers }, time.Minute, 50*time.Millisecond)
	require.Equal(t, int32(MaxViewers), p.looked.Load())
	require.Equal(t, MaxViewers, p.Viewers())
	for i := range all {
		_, _ = all[i].in.Write([]byte("q"))
		<-all[i].done
	}
	require.Eventually(t, func() bool { return p.Viewers() == 0 }, time.Minute, 10*time.Millisecond)
	require.Eventually(t, func() bool {
		cmd := p.client("right", "-tt")
		cmd.Stdin = strings.NewReader("q")
		out, _ := cmd.CombinedOutput()
		return strings.Contains(string(out), "picture of")
	}, time.Minute, time.Second)
}

// TestAStalledClient: one whose terminal takes nothing holds up nobody else,
// and is sent away after a while.
func TestAStalledClient(t *testing.T) {
	var sent atomic.Int64
	ended := make(chan error, 1)
	p := open(t, func(p *place, v Viewer) error {
		if p.looked.Load() > 0 {
			return p.look(v)
		}
		p.looked.Add(1)
		for block := make([]byte, 64<<10); ; {
			n, err := v.Picture.Write(block)
			sent.Add(int64(n))
			if err != nil {
				ended <- err
				return err
			}
		}
	}, 3*time.Second)
	stalled := p.client("right", "-tt")
	in, err := stalled.StdinPipe()
	require.NoError(t, err)
	defer in.Close()
	require.NoError(t, stalled.Start())
	defer func() { _ = stalled.Process.Kill(); _ = stalled.Wait() }()
	require.Eventually(t, func() bool { return sent.Load() > 0 }, time.Minute, time.Millisecond)
	require.NoError(t, stalled.Process.Signal(syscall.SIGSTOP))
	other := p.client("right", "-tt")
	other.Stdin = strings.NewReader("q")
	out, err := other.CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "picture of")
	select {
	case <-ended:
	case <-time.After(time.Minute):
		t.Fatal("still there")
	}
	require.Eventually(t, func() bool { return p.Viewers() == 0 }, time.Minute, 10*time.Millisecond)
}
