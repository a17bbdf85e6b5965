package survey

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/verdict"
)

// A line keeps the highest level of each of its points, in flat memory.
func TestLineKeepsTheHighest(t *testing.T) {
	l := newLine()
	for i := range 5*maxPoints + 3 {
		level := -60.0
		if i == 4321 {
			level = -3
		}
		l.push(level)
	}
	require.LessOrEqual(t, len(l.points), maxPoints)
	require.Equal(t, 8, l.each)
	require.Equal(t, (5*maxPoints+3+7)/8, len(l.points))
	for i, level := range l.points {
		require.Equal(t, map[bool]float64{true: -3, false: -60}[i == 4321/8], level)
	}
}

// Room tone is what a band exceeds nine tenths of the time; the maximum and the
// mean are those of the tone.
func TestRoomToneOfABand(t *testing.T) {
	x := tone(1000, -20, 20*rate)
	for i := range x {
		if i > 16*rate {
			x[i] *= 0.01
		}
	}
	r, err := File(context.Background(), save(t, x), nil)
	require.NoError(t, err)
	b := r.Bands[18]
	require.EqualValues(t, 1000, b.NominalHz)
	require.InDelta(t, -20, float64(b.MaxDBFS), 0.3)
	require.InDelta(t, -20+10*math.Log10(0.8), float64(b.LevelDBFS), 0.1)
	require.InDelta(t, -60, float64(b.RoomToneDBFS), 0.3)
}

// Faults are found where they are.
func TestEventsHaveTheirPlaces(t *testing.T) {
	x := add(tone(300, -20, 30*rate), white(-50, 30*rate, 1))
	y := append([]float64(nil), x...)
	for i := range 2000 {
		x[12*rate+i] *= 30
	}
	hole := 20*rate + 1234 // in the middle of a wave
	clear(y[hole : hole+480])
	r, err := File(context.Background(), save(t, x, y), nil)
	require.NoError(t, err)
	require.NotEmpty(t, r.Events)
	require.Contains(t, r.Events, Event{Seconds: 12, Code: verdict.InputClipped, Channel: 1})
	require.EqualValues(t, 1, r.Dropouts, "only one channel has the hole")
	require.Equal(t, 2, r.Findings[1].Channel)
	clear(x[hole : hole+480])
	r, err = File(context.Background(), save(t, x, y), nil)
	require.NoError(t, err)
	require.EqualValues(t, 1, r.Dropouts)
	require.Contains(t, r.Events, Event{Seconds: 20, Code: verdict.Dropouts})
}
