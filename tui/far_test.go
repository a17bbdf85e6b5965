package tui

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/desk"
)

// TestFarViewFromEveryScreen: its key opens it anywhere; any key, also one that
// quits, stops or mutes elsewhere, only leads back to where it was.
func TestFarViewFromEveryScreen(t *testing.T) {
	r := still(t, nil, 80, 24)
	for i, s := range r.all {
		for _, key := range []string{"q", "esc", "tab", "0", "z", "enter", "ctrl+r", "ctrl+c", "?"} {
			settle(r, r.turn(i))
			before := look(r)
			press(r, "z")
			require.True(t, r.far, s.Name())
			require.NotEqual(t, before, look(r))
			_, cmd := r.Update(tea.KeyPressMsg(keyNamed(key)))
			require.Nil(t, cmd, "%s on %s", key, s.Name())
			require.False(t, r.far)
			require.Equal(t, before, look(r), "%s on %s", key, s.Name())
		}
	}
}

func keyNamed(key string) tea.KeyPressMsg {
	switch m := named[key]; {
	case m.Code != 0:
		return m
	case len(key) > 1:
		return tea.KeyPressMsg{Code: rune(key[len(key)-1]), Mod: tea.ModCtrl}
	}
	return letter(rune(key[0]))
}

// TestFarViewLeavesTheTakeAlone: rolling goes on, and a press of the mouse
// leads back as well.
func TestFarViewLeavesTheTakeAlone(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { rollFake(o.parts.Recorder.(*fakeRecorder), 763*time.Second) }, 120, 40)
	press(r, "z")
	r.Update(tea.KeyPressMsg{Code: 'r', Mod: tea.ModCtrl})
	require.Nil(t, r.desk.Question)
	require.True(t, r.desk.Rec.Rolling)
	press(r, "z")
	r.Update(tea.MouseMotionMsg{X: 4, Y: 4})
	require.True(t, r.far)
	r.Update(tea.MouseClickMsg{X: 4, Y: 0, Button: tea.MouseLeft})
	require.False(t, r.far)
}

// TestFarViewComesByItself: where it is set, while a take rolls, after 20 s
// without a key; not over a field or a question.
func TestFarViewComesByItself(t *testing.T) {
	for name, c := range map[string]struct {
		rolls, set bool
		key        string
		want       bool
	}{
		"as set":        {true, true, "", true},
		"not set":       {true, false, "", false},
		"nothing rolls": {false, true, "", false},
		"field open":    {true, true, "m", false},
		"help open":     {true, true, "?", false},
	} {
		r := still(t, func(_ *fakeEngine, o *Options) {
			if c.rolls {
				rollFake(o.parts.Recorder.(*fakeRecorder), 9*time.Second)
			}
		}, 80, 24)
		r.desk.Change(func(s *presets.Settings) { s.FarView = c.set })
		press(r, "t")
		if c.key != "" {
			press(r, c.key)
		}
		r.Update(desk.TickMsg{Frames: farAfter - 2})
		require.False(t, r.far, name)
		r.Update(desk.TickMsg{Frames: 2})
		require.Equal(t, c.want, r.far, name)
		press(r, "t")
		require.False(t, r.far, name)
	}
}

// TestFarViewIsStill: while the voice moves only the bar does, and four times a
// second the small figure; at once only where that tells of less headroom.
func TestFarViewIsStill(t *testing.T) {
	r, _ := moving(t, monitorName, 120, 40)
	press(r, "z")
	before, small := look(r), math.Inf(1)
	for range 60 {
		steady := r.desk.Steady
		r.Update(desk.TickMsg{})
		now := look(r)
		require.Equal(t, columnsOf(before)[:68], columnsOf(now)[:68], "left of the small figure")
		require.Equal(t, columnsOf(before)[116:], columnsOf(now)[116:], "the edge")
		least := r.desk.Slow.Camera[0].HeadroomDB
		require.False(t, steady && least > small)
		before, small = now, least
	}
}

// columnsOf turns a picture by a quarter.
func columnsOf(picture string) []string {
	columns := make([]string, 120)
	x := 0
	for _, c := range picture {
		if c == '\n' {
			x = 0
			continue
		}
		columns[x] += string(c)
		x++
	}
	return columns
}
