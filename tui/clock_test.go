package tui

import (
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/tui/desk"
	"rollready/tui/widget"
)

// The pictures are fewer where nobody looks closely or nothing moves, and as
// many as ever as soon as that is over.
func TestPicturesAreFewerWhereNobodyLooksClosely(t *testing.T) {
	r := still(t, func(e *fakeEngine, _ *Options) { e.still = false }, 80, 24)
	perSecond := func(msgs ...tea.Msg) int64 {
		for _, msg := range msgs {
			r.Update(msg)
		}
		r.Update(desk.TickMsg{Frames: 1})
		return r.clock.perSecond.Load()
	}
	require.EqualValues(t, widget.FramesPerSecond, perSecond())
	require.EqualValues(t, awayPerSecond, perSecond(tea.BlurMsg{}))
	require.EqualValues(t, widget.FramesPerSecond, perSecond(tea.FocusMsg{}))
	z := tea.KeyPressMsg{Code: 'z', Text: "z"}
	require.EqualValues(t, awayPerSecond, perSecond(z))
	require.EqualValues(t, widget.FramesPerSecond, perSecond(z))
	now := time.Now()
	var c clock
	c.look(480, false, now)
	require.EqualValues(t, widget.FramesPerSecond, c.perSecond.Load())
	c.look(480, false, now.Add(2*quietAfter))
	require.EqualValues(t, quietPerSecond, c.perSecond.Load())
	c.look(960, false, now.Add(3*quietAfter))
	require.EqualValues(t, widget.FramesPerSecond, c.perSecond.Load())
}
