//go:build linux

package desktop

import (
	"bufio"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/godbus/dbus/v5"
	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// privateBus is a session bus of the test's own.
func privateBus(t *testing.T) (address string) {
	soundtest.Need(t, "dbus-daemon")
	run := exec.Command("dbus-daemon", "--session", "--nofork", "--print-address", "--address=unix:dir="+t.TempDir())
	out, err := run.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, run.Start())
	t.Cleanup(func() { _ = run.Process.Kill(); _ = run.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", strings.TrimSpace(line))
	return strings.TrimSpace(line)
}

// server shows notifications as the specification says.
type server struct {
	can   []string
	shown chan shown
}

type shown struct {
	app, title, text string
	urgency          byte
}

func (s *server) GetCapabilities() ([]string, *dbus.Error) { return s.can, nil }

func (s *server) Notify(app string, _ uint32, _, title, text string, _ []string, hints map[string]dbus.Variant, _ int32) (uint32, *dbus.Error) {
	s.shown <- shown{app, title, text, hints["urgency"].Value().(byte)}
	return 1, nil
}

func serve(t *testing.T, address string, can ...string) *server {
	bus, err := dbus.Connect(address)
	require.NoError(t, err)
	t.Cleanup(func() { bus.Close() })
	s := &server{can, make(chan shown, 9)}
	require.NoError(t, bus.Export(s, object, service))
	_, err = bus.RequestName(service, dbus.NameFlagDoNotQueue)
	require.NoError(t, err)
	return s
}

// A notification arrives whole on a session bus; markup in a device's name is
// text, and no control character passes.
func TestNotify(t *testing.T) {
	for want, can := range map[string][]string{"R&amp;D &lt;b&gt; lost": {"body", "body-markup"}, "R&D <b> lost": {"body"}} {
		s := serve(t, privateBus(t), can...)
		require.NoError(t, Notify(t.Context(), "input lost", "R&D <b> lost", true))
		require.Equal(t, shown{"rollready", "input lost", want, urgent}, <-s.shown)
		require.NoError(t, Notify(t.Context(), "a\x1bb", "c", false))
		got := <-s.shown
		require.NotContains(t, got.title, "\x1b")
		require.Equal(t, normal, got.urgency)
	}
}

// Without a bus, with one that hangs up, and with nobody on it who shows
// notifications, an error comes soon and nothing is started.
func TestNobodyToNotify(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", "")
	require.ErrorIs(t, Notify(t.Context(), "a", "b", true), ErrNoBus)
	t.Setenv("DBUS_SESSION_BUS_ADDRESS", "unix:path="+filepath.Join(t.TempDir(), "gone"))
	require.Error(t, Notify(t.Context(), "a", "b", true))
	privateBus(t)
	require.ErrorContains(t, Notify(t.Context(), "a", "b", true), "notify the desktop")
}

// A desktop that never answers holds nobody up for longer than its patience.
func TestADesktopThatHangs(t *testing.T) {
	s := serve(t, privateBus(t))
	s.shown = make(chan shown)
	began := time.Now()
	require.Error(t, Notify(t.Context(), "a", "b", true))
	require.Less(t, time.Since(began), time.Minute)
	<-s.shown
}
