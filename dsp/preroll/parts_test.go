package preroll

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
)

func partsOf(rateHz int, channels ...[]float64) (room, voice Range, err error) {
	p := NewParts(rateHz, len(channels))
	scene.InBlocks(scene.Interleave(channels...), len(channels), p.Process)
	return p.Find()
}

// Room tone and voice are found before, after and amid, in any order, and lie
// where they are: no voice in the room tone, most of the voice in the voice.
func TestPartsAreFound(t *testing.T) {
	for _, s := range some(t, speakers) {
		for _, rate := range some(t, []int{44100, 48000}) {
			talk := speech(t, s, -12, rate)
			for _, c := range some(t, []struct{ before, after float64 }{{5, 0}, {0, 4}, {3, 3.5}, {1, 0}, {20, 1}}) {
				lead, tail := int(c.before*float64(rate)), int(c.after*float64(rate))
				x := make([]float64, lead+len(talk)+tail)
				copy(x[lead:], talk)
				x = scene.Add(x, scene.Noise(-65, float64(len(x))/float64(rate), rate, 1))
				room, voice, err := partsOf(rate, x)
				require.NoError(t, err)
				require.True(t, room.End <= int64(lead+rate/10) || room.Start >= int64(lead+len(talk)-rate/4), "%s %+v: %+v", s.name, c, room)
				require.GreaterOrEqual(t, room.End-room.Start, int64(0.5*float64(rate)))
				inside := min(voice.End, int64(lead+len(talk))) - max(voice.Start, int64(lead))
				require.Greater(t, float64(inside), 0.85*float64(len(talk)), "%s %+v: %+v", s.name, c, voice)
			}
		}
	}
}

func TestPartsOfNothing(t *testing.T) {
	for _, x := range [][]float64{nil, scene.Silence(9, 48000), scene.Noise(-50, 9, 48000, 1), scene.Sine(440, -20, 0, 9, 48000)} {
		room, voice, err := partsOf(48000, x)
		require.NoError(t, err)
		require.EqualValues(t, len(x)/3, room.End)
		require.EqualValues(t, len(x), voice.End)
	}
}

func TestNoPauseIsNoRoomTone(t *testing.T) {
	var x []float64
	for i := range 20 { // talk with pauses of 0.2 s
		x = append(append(x, scene.Noise(-20, 0.5, 48000, uint64(i))...), scene.Noise(-60, 0.2, 48000, uint64(i))...)
	}
	_, _, err := partsOf(48000, x)
	require.ErrorIs(t, err, ErrNoRoomTone)
}
