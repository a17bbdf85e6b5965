package rig

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/take"
)

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
