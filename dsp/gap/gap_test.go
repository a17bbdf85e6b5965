package gap

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
)

func count(rateHz int, channels ...[]float64) int64 {
	m := New(rateHz, len(channels))
	scene.InBlocks(scene.Interleave(channels...), len(channels), m.Process)
	return m.Count()
}

func TestHolesAreCounted(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000} {
		for _, ms := range []int{1, 2, 5, 10, 50} {
			x := scene.Add(scene.Sine(151.3, -30, 0, 2, rate), scene.Noise(-60, 2, rate, 1))
			for k := range 7 {
				clear(x[(k+1)*rate/5 : (k+1)*rate/5+ms*rate/1000+1])
			}
			require.EqualValues(t, 7, count(rate, x), "%d ms at %d Hz", ms, rate)
			require.EqualValues(t, 7, count(rate, x, x))
			require.EqualValues(t, 7, count(rate, x, scene.Noise(-40, 2, rate, 2)), "the other channel went on")
		}
	}
}

func TestSilenceFadesAndEndsAreNoHoles(t *testing.T) {
	x := scene.Noise(-30, 2, 48000, 1)
	for i := range 9600 {
		x[48000-i] *= float64(i) / 9600 // fades out, then zeros, then in at once
	}
	clear(x[48001:60000])
	require.Zero(t, count(48000, x))
	require.Zero(t, count(48000, append(scene.Noise(-30, 1, 48000, 1), scene.Silence(1, 48000)...)))
	require.Zero(t, count(48000, append(scene.Silence(1, 48000), scene.Noise(-30, 1, 48000, 1)...)))
	require.Zero(t, count(48000, scene.Sine(1000, -20, 0, 2, 48000)))
}

// Speech that was made, not recorded: its pauses are zeros, most of them after
// the sound has come down.
func TestSilenceOfTheSourceIsNoHole(t *testing.T) {
	x := scene.Sine(150, -20, 0, 4, 48000)
	for k := range 20 {
		from := k*9600 + 320*(k%7) // 320 frames are a wave
		if k%3 == 0 {
			from += 80 // a third of them ends in the middle of one
		}
		clear(x[from : from+2400])
	}
	require.Zero(t, count(48000, x))
}

func TestNoAllocation(t *testing.T) {
	m, x := New(48000, 2), make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(50, func() { m.Process(x) }))
}

// A creaking voice, a wave every 15 ms in a room, whose sound drops to a
// converter's noise between two waves; the same over rumble that does not drop.
func TestTheRoomGoesOnlyWhereTheLineBreaks(t *testing.T) {
	const rate = 48000
	made := func(rumble float64) []float64 {
		x := scene.Add(scene.Noise(-70, 6, rate, 3), scene.Sine(23, rumble, 0, 6, rate))
		for at := 2 * rate; at < 6*rate-480; at += rate * 15 / 1000 {
			for i := range 240 {
				x[at+i] += 0.02 * float64(240-i) / 240 * float64(i%48-24) / 24
			}
		}
		return x
	}
	for _, rumble := range []float64{-200, -30} {
		require.Zero(t, count(rate, made(rumble)))
	}
	x, noise := made(-200), scene.Noise(-94, 6, rate, 5)
	for k := range 5 {
		at := 2*rate + (40*k+30)*rate*15/1000 + 400
		copy(x[at:at+300], noise[at:])
	}
	require.EqualValues(t, 5, count(rate, x))
}

// What is put together from two places does not break where they meet.
func TestASpliceIsNoBreak(t *testing.T) {
	m := New(48000, 1)
	m.Process(scene.Interleave(scene.Add(scene.Sine(30, -20, 90, 2, 48000), scene.Noise(-70, 2, 48000, 1))))
	m.Splice()
	m.Process(scene.Interleave(scene.Add(scene.Sine(30, -20, 250, 2, 48000), scene.Noise(-70, 2, 48000, 2))))
	require.Zero(t, m.Count())
}

// A voice in 8 bits: the end of each wave is quieter than a code, so that it
// stands still at zero or at the code beside it, as rounding goes. A block of
// zeros amid it is a hole all the same.
func TestCoarseCodesAreNoBreaks(t *testing.T) {
	const rate = 48000
	coded := func(round func(float64) float64, codes float64) []float64 {
		x := scene.Noise(-66, 6, rate, 3)
		for at := rate; at < 6*rate-480; at += rate / 100 {
			for i := range 480 {
				x[at+i] += 0.2 * math.Exp(-float64(i)/60) * math.Sin(2*math.Pi*700*float64(i)/rate)
			}
		}
		for i, v := range x {
			x[i] = round(v*codes) / codes
		}
		return x
	}
	for _, round := range []func(float64) float64{math.Round, math.Floor, math.Ceil} {
		require.Zero(t, count(rate, coded(round, 1<<7)))
		require.Zero(t, count(rate, coded(round, 1<<23)))
	}
	x := coded(math.Round, 1<<7)
	for k := range 5 {
		at := rate + (k+1)*rate*3/4 + 20
		clear(x[at : at+2*rate/100])
	}
	require.EqualValues(t, 5, count(rate, x), "a block of zeros amid the sound")
}

// Dips of a line that come unevenly are breaks, those between the bursts of a
// transmitter are none.
func TestEvenDipsAreATransmitters(t *testing.T) {
	const rate = 48000
	made := func(apart func(k int) int) []float64 {
		x, at := scene.Add(scene.Noise(-66, 8, rate, 3), scene.Sine(700, -20, 0, 8, rate)), 2*rate
		noise := scene.Noise(-92, 8, rate, 4)
		for k := range 40 {
			copy(x[at:at+4*rate/1000], noise[at:])
			at += apart(k)
		}
		return x
	}
	require.Zero(t, count(rate, made(func(int) int { return rate * 120 / 13 / 1000 })))
	require.EqualValues(t, 40, count(rate, made(func(k int) int { return rate/10 + 331*(k%7) })))
}
