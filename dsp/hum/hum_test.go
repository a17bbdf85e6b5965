package hum

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
	"rollready/dsp/lowrate"
	"rollready/dsp/spectrum"
)

// spectra are those of the channels that a decimator feeds.
func spectra(rateHz, channels int) (*lowrate.Decimator, []*spectrum.Welch) {
	var of []*spectrum.Welch
	for range channels {
		of = append(of, NewSpectrum(rateHz))
	}
	return lowrate.New(rateHz, channels, func(c int, x []float64) { of[c].Process(x) }), of
}

// find looks for hum in everything, where it is steady, else between the words.
func find(rateHz int, steady bool, channels ...[]float64) []Hum {
	low, of := spectra(rateHz, len(channels))
	scene.InBlocks(scene.Interleave(channels...), len(channels), low.Process)
	share := QuietShare
	if steady {
		share = 1
	}
	var found []Hum
	for _, welch := range of {
		found = append(found, Find(welch.Quiet(share)))
	}
	return found
}

// lineIn gives a tone so many dB above white noise in the one-third octave
// around it (23.2 % of its frequency), noise of −60 dBFS.
func lineIn(hz, aboveDB, seconds float64, rateHz int, seed uint64) (x []float64, levelDBFS float64) {
	level := -60 + db.FromPower(0.2316*hz/(float64(rateHz)/2)) + aboveDB
	return scene.Add(scene.Noise(-60, seconds, rateHz, seed), scene.Sine(hz, level, 0, seconds, rateHz)), level
}

// Found at 10 dB above the surrounding noise, frequency ± 0.5 Hz, level ± 1 dB.
func TestFoundAtTenDecibels(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000} {
		for i, c := range []struct {
			hz    float64
			mains int
		}{{50, 50}, {49.8, 50}, {60, 60}, {60.1, 60}, {100, 50}, {120, 60}, {150, 50}, {180, 60}} {
			hz := c.hz
			x, level := lineIn(hz, 10, 6, rate, uint64(i))
			h := find(rate, true, x)[0]
			require.True(t, h.Present, "%g Hz at %d", hz, rate)
			require.InDelta(t, hz, h.Lines[0].Hz, 0.5)
			require.InDelta(t, level, h.LevelDBFS, 1, "%g Hz at %d", hz, rate)
			require.Equal(t, c.mains, h.MainsHz)
		}
	}
}

// Noise alone, white or falling like rumble, is no hum.
func TestNoiseIsNoHum(t *testing.T) {
	for seed := range uint64(30) {
		white := scene.Noise(-50, 5, 48000, seed)
		brown, last := make([]float64, len(white)), 0.0
		for i, v := range white {
			last = 0.999*last + 0.05*v
			brown[i] = last
		}
		for i, h := range find(48000, true, white, brown) {
			require.False(t, h.Present, "seed %d, channel %d: %+v", seed, i, h)
		}
	}
}

// voice makes harmonics of a moving pitch in syllables with pauses.
func voice(pitchHz, spread, seconds float64, seed uint64) []float64 {
	random := rand.New(rand.NewPCG(seed, 5))
	x := scene.Silence(seconds, 48000)
	for at := 0; at < len(x); {
		n := int((0.1 + 0.25*random.Float64()) * 48000)
		pitch, phase := pitchHz*math.Exp(spread*random.NormFloat64()), 0.0
		for i := at; i < min(at+n, len(x)); i++ {
			phase += 2 * math.Pi * pitch * (1 + spread*float64(i-at)/float64(n)) / 48000
			for k := 1.0; k < 12; k++ {
				x[i] += 0.05 / k * math.Sin(k*phase) * math.Sin(math.Pi*float64(i-at)/float64(n))
			}
		}
		at += n
		if random.Float64() < 0.1 {
			at += int(random.Float64() * 60000)
		}
	}
	return x
}

// A voice around 100, 120 or 200 Hz is no hum; hum under it is found.
func TestVoiceIsNoHum(t *testing.T) {
	for i, pitch := range []float64{100, 120, 150, 200, 240} {
		for seed := range uint64(1 + i%2) {
			talk := scene.Add(voice(pitch, 0.08, 20, seed), scene.Noise(-70, 20, 48000, seed))
			withHum := scene.Add(talk, scene.Sine(50, -45, 0, 20, 48000), scene.Sine(150, -50, 0, 20, 48000))
			found := find(48000, false, talk, withHum)
			name := fmt.Sprintf("pitch %g seed %d", pitch, seed)
			require.False(t, found[0].Present, "%s: %+v", name, found[0])
			require.True(t, found[1].Present, name)
			require.Equal(t, 50, found[1].MainsHz, name)
			require.InDelta(t, 50, found[1].Hz, 0.5, name)
		}
	}
}

// The families: odd or even multiples only, both mains, slightly off.
func TestFamilies(t *testing.T) {
	for _, c := range []struct {
		mains     float64
		harmonics []float64
	}{{50, []float64{1, 3, 5}}, {50.3, []float64{2, 4, 6}}, {60, []float64{1, 2, 3}}, {59.7, []float64{2, 4, 6, 8}}} {
		x, power := scene.Noise(-70, 5, 48000, 9), 0.0
		for i, k := range c.harmonics {
			level := -50 - 3*float64(i)
			x = scene.Add(x, scene.Sine(k*c.mains, level, 50*k, 5, 48000))
			power += db.ToPower(level)
		}
		h := find(48000, true, x)[0]
		require.Len(t, h.Lines, len(c.harmonics))
		require.InDelta(t, c.mains, h.Hz, 0.2)
		require.InDelta(t, db.FromPower(power), h.LevelDBFS, 0.5)
		require.EqualValues(t, math.Round(c.mains/10)*10, h.MainsHz)
	}
}

func TestSilenceAndOtherTonesAreNoHum(t *testing.T) {
	require.False(t, find(48000, true, scene.Silence(5, 48000))[0].Present)
	for _, hz := range []float64{55, 70, 90, 110, 130, 440, 997} {
		x := scene.Add(scene.Noise(-70, 5, 48000, 3), scene.Sine(hz, -40, 0, 5, 48000))
		require.False(t, find(48000, true, x)[0].Present, "%g Hz", hz)
	}
}

func BenchmarkHum(b *testing.B) {
	x := scene.Interleave(scene.Noise(-20, 10, 48000, 1), scene.Noise(-30, 10, 48000, 2))
	low, _ := spectra(48000, 2)
	b.ReportAllocs()
	for b.Loop() {
		low.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
