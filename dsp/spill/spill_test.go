package spill_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/signal"
	"rollready/dsp/loudness"
	"rollready/dsp/spill"
)

const rate = 48000

// talk is two people in turn, each before a microphone, by computation.
type talk struct {
	peak         [2]float64 // of the voices in their own microphones
	spillDB      [2]float64 // of each voice in the other microphone
	later        [2]int     // frames
	inverted     bool       // the second microphone
	gainDB       float64    // of the second microphone's preamplifier
	noise        float64
	turnS, turns int
}

var plain = talk{peak: [2]float64{0.3, 0.2}, spillDB: [2]float64{-15, -20}, later: [2]int{120, 150}, noise: 1e-4, turnS: 4, turns: 6}

// voices gives what each person says, silent in the other's turns.
func (k talk) voices() (v [2][]float32) {
	n := k.turnS * rate
	for who := range v {
		v[who] = make([]float32, n*k.turns)
		for turn := who; turn < k.turns; turn += 2 {
			copy(v[who][turn*n:], signal.Speech(k.peak[who], rate, n, uint64(10*who+turn)))
		}
	}
	return v
}

func (k talk) frames() []float32 {
	v := k.voices()
	r := rand.New(rand.NewPCG(1, 9))
	out := make([]float32, 2*len(v[0]))
	for i := range v[0] {
		for mic := range 2 {
			x := float64(v[mic][i]) + k.noise*r.NormFloat64()
			if j := i - k.later[1-mic]; j >= 0 {
				x += db.ToAmplitude(k.spillDB[1-mic]) * float64(v[1-mic][j])
			}
			if mic == 1 {
				x *= db.ToAmplitude(k.gainDB)
				if k.inverted {
					x = -x
				}
			}
			out[2*i+mic] = float32(x)
		}
	}
	return out
}

func (k talk) result() spill.Result {
	m := spill.New(rate)
	m.Process(k.frames())
	return m.Result()
}

func TestAgainstMixesByComputation(t *testing.T) {
	for name, change := range map[string]func(k *talk){
		"plain":             func(k *talk) {},
		"heavy spill":       func(k *talk) { k.spillDB = [2]float64{-7, -8} },
		"little spill":      func(k *talk) { k.spillDB = [2]float64{-30, -34} },
		"near":              func(k *talk) { k.later = [2]int{31, 17} },
		"three metres":      func(k *talk) { k.later = [2]int{420, 420} },
		"second inverted":   func(k *talk) { k.inverted = true },
		"second very loud":  func(k *talk) { k.gainDB = 18 },
		"second very quiet": func(k *talk) { k.gainDB = -24 },
		"noisy":             func(k *talk) { k.noise = 2e-3 },
		"short turns":       func(k *talk) { k.turnS, k.turns = 2, 14 },
	} {
		t.Run(name, func(t *testing.T) {
			k := plain
			change(&k)
			r := k.result()
			for who, v := range r.Voice {
				gain := k.gainDB
				if who == 1 {
					gain = -gain
				}
				require.True(t, v.Known && v.Placed, "voice %d: %+v", who, v)
				require.InDelta(t, k.spillDB[who]+gain, v.SpillDB, 0.5, "voice %d", who)
				require.InDelta(t, k.later[who], v.LaterS*rate, 1, "voice %d", who)
				require.Equal(t, k.inverted, v.Inverted, "voice %d", who)
			}
		})
	}
}

// Each voice's level is that of a meter after BS.1770 on the turns of that
// person alone, gated alike; so is the difference of the voices.
func TestLevelDifference(t *testing.T) {
	for _, quieter := range []float64{0, 3, 9} {
		k := plain
		k.spillDB = [2]float64{-40, -40}
		k.peak[1] = k.peak[0] * db.ToAmplitude(-quieter)
		var alone [2]float64
		for who, v := range k.voices() {
			m := loudness.New(rate, 1)
			m.Process(v)
			alone[who] = m.Integrated()
		}
		lu, known := k.result().ApartLU()
		require.True(t, known)
		require.InDelta(t, alone[0]-alone[1], lu, 0.7, "%v dB quieter", quieter)
	}
}

// The worst dip and its place, against the sum of a tone and its later, lower
// copy, swept.
func TestCombAgainstASweptSum(t *testing.T) {
	for _, v := range []spill.Voice{{SpillDB: -6, LaterS: 0.001}, {SpillDB: -12, LaterS: 0.0031}, {SpillDB: -3, LaterS: 0.0005, Inverted: true}} {
		v.Known, v.Placed = true, true
		r := db.ToAmplitude(v.SpillDB)
		if v.Inverted {
			r = -r
		}
		lowest, at := math.Inf(1), 0.0
		for hz := 1.0; hz < 1.4/v.LaterS; hz += 0.5 {
			phase := 2 * math.Pi * hz * v.LaterS
			level := db.FromAmplitude(math.Hypot(1+r*math.Cos(phase), r*math.Sin(phase)))
			if level < lowest-1e-9 && hz > 0.3/v.LaterS {
				lowest, at = level, hz
			}
		}
		c, ok := v.Comb(0)
		require.True(t, ok)
		require.InDelta(t, lowest, c.DipDB, 0.01)
		require.InDelta(t, at, c.FirstHz, 1)
	}
	_, ok := spill.Voice{Known: true}.Comb(0)
	require.False(t, ok)
}

func TestWhatIsNotKnown(t *testing.T) {
	quiet := make([]float32, 20*rate)
	one := signal.Interleave(signal.Speech(0.3, rate, 10*rate, 1), signal.Noise(1e-4, 10*rate, 2))
	same := signal.Speech(0.3, rate, 10*rate, 1)
	for name, c := range map[string]struct {
		frames []float32
		known  [2]bool
	}{
		"silence":        {quiet, [2]bool{}},
		"one person":     {one, [2]bool{true, false}},
		"the same twice": {signal.Interleave(same, same), [2]bool{}},
		"noise":          {signal.Interleave(signal.Noise(0.1, 10*rate, 1), signal.Noise(0.1, 10*rate, 2)), [2]bool{}},
		"hardly begun":   {plain.frames()[:2*rate], [2]bool{}},
	} {
		t.Run(name, func(t *testing.T) {
			m := spill.New(rate)
			m.Process(c.frames)
			r := m.Result()
			require.Equal(t, c.known, [2]bool{r.Voice[0].Known, r.Voice[1].Known})
			_, both := r.ApartLU()
			require.False(t, both)
			if name == "one person" {
				require.Equal(t, math.Inf(-1), r.Voice[0].SpillDB)
			}
		})
	}
}

// Blocks cut at random give the same, and what was long ago is forgotten.
func TestCutsAndForgetting(t *testing.T) {
	frames := plain.frames()
	whole, cut := spill.New(rate), spill.New(rate)
	whole.Process(frames)
	r := rand.New(rand.NewPCG(3, 3))
	for rest := frames; len(rest) > 0; {
		n := min(2*(1+r.IntN(3000)), len(rest))
		cut.Process(rest[:n])
		rest = rest[n:]
	}
	require.Equal(t, whole.Result(), cut.Result())
	later := plain
	later.spillDB, later.turns = [2]float64{-10, -10}, 40
	whole.Process(later.frames())
	for _, v := range whole.Result().Voice {
		require.InDelta(t, -10, v.SpillDB, 0.5)
	}
}

func TestProcessDoesNotAllocate(t *testing.T) {
	m, block := spill.New(rate), plain.frames()[:2*rate]
	require.Zero(t, testing.AllocsPerRun(5, func() { m.Process(block) }))
}

func BenchmarkProcess(b *testing.B) {
	m, block := spill.New(rate), plain.frames()[:960]
	b.ReportAllocs()
	for b.Loop() {
		m.Process(block)
	}
}

func ExampleMeter() {
	m := spill.New(48000)
	m.Process(plain.frames())
	r := m.Result()
	lu, _ := r.ApartLU()
	comb, _ := r.Voice[0].Comb(0)
	fmt.Printf("first voice %.0f LU louder; in the other microphone %.0f dB, %.1f ms later; dips of %.1f dB from %.0f Hz\n",
		lu, r.Voice[0].SpillDB, 1000*r.Voice[0].LaterS, comb.DipDB, comb.FirstHz)
	// Output: first voice 3 LU louder; in the other microphone -15 dB, 2.5 ms later; dips of -1.7 dB from 200 Hz
}
