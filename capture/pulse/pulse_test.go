package pulse

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const tick = 50 * time.Millisecond

func TestStillness(t *testing.T) {
	var p Pulse
	now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	p.Begin(now)
	for i := range int64(10) {
		now = now.Add(tick)
		require.True(t, p.Look(now, i+1))
		require.Zero(t, p.Still(now))
	}
	for range 10 {
		now = now.Add(tick)
		require.False(t, p.Look(now, 10))
	}
	require.Equal(t, 10*tick, p.Still(now))
	now = now.Add(3 * time.Second) // we slept: the device is not to blame
	p.Look(now, 10)
	require.Zero(t, p.Still(now))
}

func TestGraceAtTheBeginning(t *testing.T) {
	var p Pulse
	now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	p.Begin(now.Add(time.Second))
	p.Look(now, 0)
	now = now.Add(tick)
	p.Look(now, 0)
	require.Negative(t, p.Still(now), "its time is not up before it began")
}
