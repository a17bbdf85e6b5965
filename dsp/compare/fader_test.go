package compare

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

const rateHz = 48000

func sine(hz, amplitude, phase float64, n int) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/rateHz+phase))
	}
	return x
}

func noise(seed uint64, n int) []float32 {
	r := rand.New(rand.NewPCG(seed, seed))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(0.1 * r.NormFloat64())
	}
	return x
}

// fade switches at the given frames, 480 frames at a time.
func fade(a, b []float32, at map[int]int) []float32 {
	f := NewFader(rateHz, 1)
	out := make([]float32, len(a))
	for i := 0; i < len(a); i += 480 {
		if to, ok := at[i]; ok {
			f.Choose(to)
		}
		f.Process(out[i:i+480], [][]float32{a[i : i+480], b[i : i+480]})
	}
	return out
}

func steepest(x []float32) (step float64) {
	for i := 1; i < len(x); i++ {
		step = max(step, math.Abs(float64(x[i]-x[i-1])))
	}
	return step
}

// No step beyond what the two signals themselves have, whatever their phases,
// plus what gains that move over the fade add to their greatest value.
func TestSwitchingHasNoStep(t *testing.T) {
	for _, phase := range []float64{0, 1, math.Pi / 2, math.Pi} {
		a, b := sine(100, 0.5, 0, 96000), sine(100, 0.5, phase, 96000)
		out := fade(a, b, map[int]int{9600: 1, 19200: 0, 19680: 1, 20160: 0, 48000: 1})
		// |d gain/dt| ≤ (π/2)² of the fade's inverse, of two signals of 0.5
		slope := math.Pi * math.Pi / 4 / (fadeSeconds * rateHz)
		require.LessOrEqual(t, steepest(out), math.Sqrt2*max(steepest(a), steepest(b))+slope, "phase %g", phase)
		require.Equal(t, a[:9600], out[:9600])
		require.Equal(t, b[60000:], out[60000:])
	}
}

// A click would show as energy far above both tones: measured above 4 kHz, by
// the second difference, against a bare switch.
func TestSwitchingMakesNoClick(t *testing.T) {
	a, b := sine(100, 0.5, 0, 48000), sine(100, 0.25, 1.2, 48000)
	bend := func(x []float32) (most float64) {
		for i := 2; i < len(x); i++ {
			most = max(most, math.Abs(float64(x[i])-2*float64(x[i-1])+float64(x[i-2])))
		}
		return most
	}
	bare := append(append([]float32(nil), a[:9600]...), b[9600:]...)
	faded := fade(a, b, map[int]int{9600: 1})
	require.Less(t, bend(faded), 2*bend(a))
	require.Greater(t, bend(bare), 100*bend(faded))
}

func TestPowerStaysThroughTheFade(t *testing.T) {
	n := int(fadeSeconds * rateHz)
	for name, pair := range map[string][2][]float32{
		"strangers": {noise(1, 48000), noise(2, 48000)},
		"the same":  {noise(1, 48000), noise(1, 48000)},
		"half alike": {noise(1, 48000), func() []float32 {
			x, y := noise(1, 48000), noise(3, 48000)
			for i := range x {
				x[i] = (x[i] + float32(math.Sqrt(3))*y[i]) / 2
			}
			return x
		}()},
	} {
		var power float64
		const fades = 30
		out := fade(pair[0], pair[1], alternate(fades))
		for k := range fades {
			for _, x := range out[1440*k+720-240 : 1440*k+720+240] { // around the middle of the fade
				power += float64(x) * float64(x) / 480 / fades
			}
		}
		require.Equal(t, 1440, n)
		require.InDelta(t, 0, 10*math.Log10(power/0.01), 0.4, name)
	}
}

// alternate switches at every end of a fade.
func alternate(n int) map[int]int {
	at := map[int]int{}
	for k := range n {
		at[1440*k] = (k + 1) % 2
	}
	return at
}

func TestFaderDoesNotAllocate(t *testing.T) {
	f := NewFader(rateHz, 2)
	signals := [][]float32{noise(1, 960), noise(2, 960)}
	dst, k := make([]float32, 960), 0
	require.Zero(t, testing.AllocsPerRun(100, func() {
		k++
		f.Choose(k / 8 % 2)
		f.Process(dst, signals)
	}))
}
