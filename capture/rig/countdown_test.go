package rig

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/take"
	"rollready/dsp/earcon"
	"rollready/presets"
)

// Each second of a countdown is heard once, however often the rig looks, and
// another sound where the take begins; one that is called off falls silent. The
// slate tone sounds with the take where that is set.
func TestACountdownIsHeard(t *testing.T) {
	s := newStand(t)
	begin := s.parts.Now()
	now := begin
	s.parts.Now = func() time.Time { return now }
	s.ways.open = [2]string{"Jack", "USB"}
	s.Change(func(set *presets.Settings) { set.CountdownS = 3 })
	until := func(seconds float64) {
		for end := begin.Add(time.Duration(seconds * float64(time.Second))); now.Before(end); now = now.Add(100 * time.Millisecond) {
			st := s.State()
			s.tend(&st)
		}
	}
	require.NoError(t, s.CountDown())
	until(3.5)
	require.Equal(t, []earcon.Kind{earcon.Tick, earcon.Tick, earcon.Tick}, s.ways.earcons)
	_, err := s.RollCounted(take.What{})
	require.NoError(t, err)
	require.Zero(t, s.recorder.slates, "not set")
	until(6)
	require.Equal(t, []earcon.Kind{earcon.Tick, earcon.Tick, earcon.Tick, earcon.Roll}, s.ways.earcons)

	s.recorder.status, s.ways.earcons = take.Status{}, nil
	require.NoError(t, s.CountDown())
	until(7.5)
	s.CallOff()
	until(12)
	require.Equal(t, []earcon.Kind{earcon.Tick, earcon.Tick}, s.ways.earcons)
	s.Change(func(set *presets.Settings) { set.CountdownTone = true })
	_, err = s.RollCounted(take.What{})
	require.NoError(t, err)
	require.Equal(t, 1, s.recorder.slates)
}

// A countdown goes on until it is called off or a take begins, and then waits
// at nothing left; its seconds are those that a clock would call.
func TestCountdown(t *testing.T) {
	start := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	r := &Rig{rolls: start.Add(5 * time.Second)}
	for after, want := range map[time.Duration]int{0: 5, time.Millisecond: 5, time.Second: 4, 4500 * time.Millisecond: 1, 5 * time.Second: 0, time.Minute: 0} {
		c := r.countdown(start.Add(after), take.Status{})
		require.True(t, c.On)
		require.Equal(t, want, c.Seconds(), after)
	}
	require.False(t, r.countdown(start, take.Status{Rolling: true}).On)
	require.False(t, r.countdown(start, take.Status{}).On, "it is over for good")
	r.rolls = start.Add(time.Second)
	r.CallOff()
	require.False(t, r.countdown(start, take.Status{}).On)
}
