package rack

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/hum"
	"rollready/dsp/internal/scene"
	"rollready/dsp/lowend"
	"rollready/dsp/lowrate"
	"rollready/dsp/pitch"
)

const rate = 48000

func sound(seed uint64) []float32 {
	hum := scene.Sine(50, -50, 0, 4, rate)
	return scene.Interleave(scene.Add(hum, scene.Noise(-60, 4, rate, seed)), scene.Noise(-30, 4, rate, seed+1))
}

// The plain wiring of each meter by itself gives the same figures, bit by bit.
func TestLowIsItsMeters(t *testing.T) {
	x := sound(1)
	low := NewLow(rate, 2, 0.04)
	scene.InBlocks(x, 2, low.Process)
	low.Finish(hum.QuietShare)
	narrow, end, tracker := hum.NewSpectrum(rate), lowend.New(lowrate.Rate(rate)), pitch.New(0.04, lowrate.Rate(rate))
	d := lowrate.New(rate, 2, func(c int, x []float64) {
		if c == 0 {
			narrow.Process(x)
			end.Process(x)
			tracker.Process(x)
		}
	})
	scene.InBlocks(x, 2, d.Process)
	got := low.Channels[0]
	require.Equal(t, hum.Find(narrow.Quiet(hum.QuietShare)), got.Hum)
	require.True(t, low.Humming(0).Present)
	require.Equal(t, 50, low.Humming(0).MainsHz)
	require.False(t, low.Humming(1).Present)
	require.Equal(t, end.LevelDBFS(), got.End.LevelDBFS())
	require.Equal(t, tracker.VoicedShare(), got.Pitch.VoicedShare())
}

// A hum that the room had is no voice later.
func TestVoiceStandsOutFromItsRoom(t *testing.T) {
	tone := scene.Interleave(scene.Sine(150, -40, 0, 4, rate))
	alone := NewLow(rate, 1, 0.01)
	alone.Process(tone)
	require.Greater(t, alone.Channels[0].Pitch.VoicedShare(), 0.9)
	room := NewLow(rate, 1, 0.01)
	room.Room(tone)
	voice := room.Voice()
	voice.Process(tone)
	require.Zero(t, voice.Channels[0].Pitch.VoicedShare())
	require.NotSame(t, room.Channels[0].End, voice.Channels[0].End)
}

func TestNothingIsAllocated(t *testing.T) {
	x := sound(3)[:2*4096]
	room := NewLow(rate, 2, 0.01)
	voice := room.Voice()
	require.Zero(t, testing.AllocsPerRun(50, func() { voice.Process(x) }))
}
