package tui

import (
	"sync/atomic"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

// Pictures a second, where they are fewer than usual.
const (
	awayPerSecond  = 6 // somebody looks from the side, or from some metres away
	quietPerSecond = 7 // no sound comes: nothing moves by itself
)

// quietAfter is for how long no frames come before the pictures are fewer.
const quietAfter = 250 * time.Millisecond

// clock gives the pictures their turns: when the rig says that something is
// new, or by the time where it says nothing. So nothing wakes for a picture but
// what is pictured.
type clock struct {
	perSecond atomic.Int64

	away  bool      // the keys go to another window
	heard int64     // frames of sound at the last turn
	moved time.Time // when they last grew
}

// look decides, after a turn, when the next ones come; far: the far view is shown.
func (c *clock) look(frames int64, far bool, now time.Time) {
	if frames != c.heard {
		c.heard, c.moved = frames, now
	}
	perSecond := widget.FramesPerSecond
	switch {
	case now.Sub(c.moved) > quietAfter:
		perSecond = quietPerSecond
	case c.away || far:
		perSecond = awayPerSecond
	}
	c.perSecond.Store(int64(perSecond))
}

// run sends the turns until it is over.
func (c *clock) run(of *rig.Rig, over <-chan struct{}, send func(tea.Msg)) {
	began, gone := time.Now(), 0
	late := time.NewTimer(0)
	for {
		perSecond := int(max(c.perSecond.Load(), 1))
		news, every := of.Follow(perSecond), time.Second/time.Duration(perSecond)
		if news != nil {
			every *= 2
		}
		late.Reset(every)
		select {
		case <-over:
			return
		case <-news:
		case <-late.C:
		}
		frames := max(int(time.Since(began)*widget.FramesPerSecond/time.Second)-gone, 1)
		gone += frames
		send(desk.TickMsg{Frames: frames})
	}
}
