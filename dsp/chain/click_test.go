package chain_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
)

// crossfade is the length of the change between filters in frames. Half a
// cosine of that length adds at most |a−b|·π/2/crossfade to the step from
// sample to sample, where a and b are the two steady signals.
const crossfade = rate / 50

var filterChanges = map[string][2]chain.Settings{
	"high-pass on":             {{}, {HighPass: filter.Cut{Hz: 80, Slope: 24}}},
	"high-pass off":            {{HighPass: filter.Cut{Hz: 80, Slope: 24}}, {}},
	"high-pass up":             {{HighPass: filter.Cut{Hz: 40, Slope: 12}}, {HighPass: filter.Cut{Hz: 300, Slope: 12}}},
	"high-pass down":           {{HighPass: filter.Cut{Hz: 300, Slope: 24}}, {HighPass: filter.Cut{Hz: 20, Slope: 24}}},
	"high-pass steeper":        {{HighPass: filter.Cut{Hz: 80, Slope: 6}}, {HighPass: filter.Cut{Hz: 80, Slope: 24}}},
	"high-pass at its lowest":  {{}, {HighPass: filter.Cut{Hz: 10, Slope: 24}}},
	"low-pass on":              {{}, {LowPass: filter.Cut{Hz: 3000, Slope: 24}}},
	"low-pass under high-pass": {{HighPass: filter.Cut{Hz: 30, Slope: 24}}, {HighPass: filter.Cut{Hz: 30, Slope: 24}, LowPass: filter.Cut{Hz: 5000, Slope: 12}}},
	"low-pass at its lowest":   {{}, {LowPass: filter.Cut{Hz: 10, Slope: 24}}},
	"all at once":              {{HighPass: filter.Cut{Hz: 80, Slope: 24}}, {HighPass: filter.Cut{Hz: 150, Slope: 12}, LowPass: filter.Cut{Hz: 8000, Slope: 18}}},
}

func lowSignals() map[string][]float32 {
	const n = 2 * rate
	return map[string][]float32{
		"dc":              signal.Constant(0.4, n),
		"50 Hz":           signal.Sine(50, 0.4, rate, n),
		"16 Hz with dc":   signal.Add(signal.Sine(16, 0.3, rate, n), signal.Constant(-0.2, n)),
		"voice with hum":  signal.Add(signal.Speech(0.4, rate, n, 1), signal.Sine(50, 0.2, rate, n), signal.Constant(0.1, n)),
		"1 kHz with 8 Hz": signal.Add(signal.Sine(1000, 0.1, rate, n), signal.Sine(8, 0.4, rate, n)),
	}
}

// steady runs the settings over the whole signal without a change.
func steady(s chain.Settings, in []float32) []float32 {
	c := chain.New(rate, 1)
	c.Set(s)
	out := append([]float32(nil), in...)
	c.Process(out)
	return out
}

// changed sets the second settings half-way.
func changed(from, to chain.Settings, in []float32) []float32 {
	c := chain.New(rate, 1)
	c.Set(from)
	out := append([]float32(nil), in...)
	c.Process(out[:len(out)/2])
	c.Set(to)
	c.Process(out[len(out)/2:])
	return out
}

func largestStep(x []float32) float64 {
	step := 0.0
	for i := 1; i < len(x); i++ {
		step = max(step, math.Abs(float64(x[i])-float64(x[i-1])))
	}
	return step
}

func largestDifference(x, y []float32) float64 {
	d := 0.0
	for i := range x {
		d = max(d, math.Abs(float64(x[i])-float64(y[i])))
	}
	return d
}

func TestFilterChangesAddNoStep(t *testing.T) {
	signals := lowSignals()
	for name, change := range filterChanges {
		for kind, in := range signals {
			half := len(in) / 2
			a, b, got := steady(change[0], in)[half:], steady(change[1], in)[half:], changed(change[0], change[1], in)[half:]
			// 0.2 % of full scale is what a filter may still have to settle.
			allowed := max(largestStep(a), largestStep(b)) + (largestDifference(a, b)+0.002)*math.Pi/2/crossfade
			require.LessOrEqual(t, largestStep(got), allowed+1e-6, "%s on %s", name, kind)
			require.Less(t, largestDifference(got[:2], a[:2]), 1e-5, "%s on %s: starts from the old filters", name, kind)
			late := len(got) - rate/20
			require.Less(t, largestDifference(got[late:], b[late:]), 1e-4, "%s on %s: ends at the new filters", name, kind)
		}
	}
}

// A click is heard as treble. Signals without treble must have none while
// settings change: the part above 4 kHz stays 100 dB under the signal.
func TestChangesMakeNoTreble(t *testing.T) {
	changes := map[string][2]chain.Settings{"gain up": {{}, {GainDB: 6}}, "gain down": {{}, {GainDB: -60}}}
	for name, c := range filterChanges {
		changes[name] = c
	}
	signals := lowSignals()
	for name, change := range changes {
		limit := -100.0
		if change[0].GainDB != change[1].GainDB {
			limit = -70 // a ramp of 10 ms is heard as a soft change, not as a click
		}
		for _, kind := range []string{"dc", "50 Hz", "16 Hz with dc"} {
			got := changed(change[0], change[1], signals[kind])
			treble := steady(chain.Settings{HighPass: filter.Cut{Hz: 4000, Slope: 24}}, steady(chain.Settings{HighPass: filter.Cut{Hz: 4000, Slope: 24}}, got))
			require.Less(t, db.FromAmplitude(peak(treble[rate/2:])), limit, "%s on %s", name, kind)
		}
	}
}

func TestGainRampStaysUnderHalfADecibelPerFrame(t *testing.T) {
	for _, rateHz := range []int{44100, 48000, 96000, 192000} {
		c := chain.New(rateHz, 1)
		c.Set(chain.Settings{GainDB: -60})
		c.Process(signal.Constant(0.005, 64))
		c.Set(chain.Settings{GainDB: 40})
		block := signal.Constant(0.005, rateHz/50)
		c.Process(block)
		last := -60.0
		for i, x := range block {
			gain := db.FromAmplitude(float64(x) / 0.005)
			require.InDelta(t, last, gain, 0.5, "frame %d", i)
			require.GreaterOrEqual(t, gain, last-1e-4, "frame %d", i)
			last = gain
			if i >= rateHz/100 {
				require.InDelta(t, 40, gain, 1e-4, "there after 10 ms")
			}
		}
	}
}

// A control that is dragged sets many values; the last one must be reached
// even where all came while an earlier change ran.
func TestNewestSettingWins(t *testing.T) {
	c := chain.New(rate, 1)
	in := signal.Sine(100, 0.3, rate, 2*rate)
	out := append([]float32(nil), in...)
	c.Process(out[:rate/4])
	for at := rate / 4; at < rate/2; at += 480 {
		c.Set(chain.Settings{GainDB: float64(at%7) - 3, HighPass: filter.Cut{Hz: 20 + float64(at%900), Slope: 24}})
		c.Process(out[at : at+480])
	}
	final := chain.Settings{GainDB: -2, HighPass: filter.Cut{Hz: 200, Slope: 12}}
	c.Set(final)
	c.Process(out[rate/2:])
	want := steady(final, in)
	require.Less(t, largestDifference(out[rate:], want[rate:]), 1e-5)
	require.Less(t, largestStep(out), 0.3*2*math.Pi*100/rate*db.ToAmplitude(3)+0.6*math.Pi/2/crossfade+0.02)
}
