//go:build proof && linux

package tui

import (
	"os"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/tui/panetest"
	"rollready/tui/share"
)

// processor is the processor time this process has taken.
func processor(t *testing.T) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// Four viewers, each on a terminal of 120 × 40 with everything moving, take
// less than a hundredth of a core each. What is measured is this process; the
// viewers' ssh and terminals are others.
func TestProofViewersCostLittle(t *testing.T) {
	const length = 20 * time.Second
	r := still(t, func(e *fakeEngine, _ *Options) { e.still = false }, 80, 24)
	s, line := shared(t, r)
	begin := processor(t)
	time.Sleep(length)
	idle := processor(t) - begin
	for range share.MaxViewers {
		p := panetest.Open(t, 120, 40, os.Environ())
		p.Line(line)
		p.WaitFor("z far view")
	}
	require.Equal(t, share.MaxViewers, s.Viewers())
	begin = processor(t)
	time.Sleep(length)
	each := float64(processor(t)-begin-idle) / float64(length) / share.MaxViewers
	t.Logf("%.2f %% of a core for each viewer", 100*each)
	require.Less(t, each, 0.01)
}
