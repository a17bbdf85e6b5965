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
		now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
		r := still(t, func(_ *fakeEngine, o *Options) {
			o.parts.Now = func() time.Time { return now }
			if c.rolls {
				rollFake(o.parts.Recorder.(*fakeRecorder), 9*time.Second)
			}
		}, 80, 24)
		r.desk.Change(func(s *presets.Settings) { s.FarView = c.set })
		press(r, "t")
		if c.key != "" {
			press(r, c.key)
		}
		now = now.Add(farAfter - time.Millisecond)
		frame(r)
		require.False(t, r.far, name)
		now = now.Add(time.Millisecond)
		frame(r)
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

// TestCountdown: the roll key waits as long as is set, the far view counts;
// then the take rolls. The key called it off before.
func TestCountdown(t *testing.T) {
	now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Now = func() time.Time { return now } }, 80, 24)
	rec := r.opt.parts.Recorder.(*fakeRecorder)
	r.desk.Change(func(s *presets.Settings) { s.CountdownS = 5 })
	later := func(d time.Duration) { now = now.Add(d); frame(r) }
	press(r, "ctrl+r")
	require.True(t, r.far, "it counts where it is seen from afar")
	require.False(t, rec.Status().Rolling)
	press(r, "x")
	shows(t, r, "Rolls in 5 s; ctrl-r calls it off")
	later(1500 * time.Millisecond)
	shows(t, r, "Rolls in 4 s")
	require.False(t, r.far, "left by a key it stays away")
	press(r, "ctrl+r")
	shows(t, r, "Called off: nothing rolls")
	later(time.Minute)
	require.False(t, rec.Status().Rolling)

	press(r, "ctrl+r")
	later(4990 * time.Millisecond)
	require.False(t, rec.Status().Rolling)
	later(10 * time.Millisecond)
	require.True(t, rec.Status().Rolling)
	frame(r)
	require.True(t, r.far, "on to the running take")
	require.False(t, r.desk.Count.On)
	require.Len(t, rec.takes, 1)
}

// TestCountdownEndsWithAnotherTake: room tone asked for meanwhile rolls at once,
// and no second take after it.
func TestCountdownEndsWithAnotherTake(t *testing.T) {
	now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Now = func() time.Time { return now } }, 80, 24)
	rec := r.opt.parts.Recorder.(*fakeRecorder)
	r.desk.Change(func(s *presets.Settings) { s.CountdownS = 10 })
	press(r, "ctrl+r", "x", "ctrl+o")
	require.True(t, rec.Status().Rolling)
	_, _ = rec.Stop()
	now = now.Add(time.Minute)
	frame(r)
	frame(r)
	require.Len(t, rec.takes, 1)
}

// TestFarViewCostsLittle counts what reaches the terminal while a voice moves.
func TestFarViewCostsLittle(t *testing.T) {
	const frames = 90
	r, p := moving(t, monitorName, 120, 40)
	press(r, "z")
	p.Paint()
	before, _ := p.Sent()
	allocations := testing.AllocsPerRun(frames-1, func() {
		r.Update(desk.TickMsg{})
		p.Paint()
	})
	bytes, _ := p.Sent()
	perFrame := float64(bytes-before) / frames
	t.Logf("%.0f bytes and %.0f allocations a frame at 120 × 40", perFrame, allocations)
	require.Less(t, perFrame, 1500.0)
	require.Less(t, allocations, 150.0)
}
