package filter_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/filter"
	"rollready/dsp/internal/reference"
)

// Source: W3C Audio EQ Cookbook formulae, magnitudes by scipy freqz.
func TestSectionsEqualTheCookbook(t *testing.T) {
	for _, row := range reference.Rows(t, "biquad_cookbook.csv") {
		rate, hz, q := row.Float(t, "fs"), row.Float(t, "f0_hz"), row.Float(t, "Q")
		design := filter.LowPassQ
		if row["type"] == "HPF" {
			design = filter.HighPassQ
		}
		b := design(hz, q, rate)
		for name, got := range map[string]float64{"b0": b.B0, "b1": b.B1, "b2": b.B2, "a1": b.A1, "a2": b.A2} {
			require.InDelta(t, row.Float(t, name), got, 1e-12, "%s of %v", name, row)
		}
		at := map[string]float64{"mag_20hz": 20, "mag_half_f0": hz / 2, "mag_f0": hz, "mag_f_hi": row.Float(t, "f_hi_hz"), "mag_1k": 1000}
		for column, f := range at {
			require.InDelta(t, row.Float(t, column), filter.ResponseDB([]filter.Biquad{b}, f, rate), 1e-6, "%s of %v", column, row)
		}
	}
}

// Source: pole angles of the Butterworth circle. The section's own response
// at the cutoff is its Q.
func TestSectionsHaveButterworthQs(t *testing.T) {
	found := 0
	for _, row := range reference.Rows(t, "butterworth_q.csv") {
		order, section := int(row.Float(t, "order")), int(row.Float(t, "section"))
		if order*6 > 24 {
			continue
		}
		found++
		sections := filter.HighPass(filter.Cut{Hz: 80, Slope: order * 6}, 48000)
		require.Len(t, sections, order/2)
		want := 20 * math.Log10(row.Float(t, "Q"))
		require.InDelta(t, want, filter.ResponseDB(sections[section-1:section], 80, 48000), 1e-9)
	}
	require.Equal(t, 3, found)
}

// Source: scipy.signal.butter and sosfreqz. The table is printed to five places.
func TestButterworthMagnitude(t *testing.T) {
	points := map[string]float64{"dB_10": 10, "dB_20": 20, "dB_31.5": 31.5, "dB_50": 50, "dB_80": 80, "dB_100": 100,
		"dB_200": 200, "dB_500": 500, "dB_1000": 1000, "dB_4000": 4000, "dB_8000": 8000, "dB_12000": 12000, "dB_16000": 16000, "dB_20000": 20000}
	found := 0
	for _, row := range reference.Rows(t, "butterworth_magnitude.csv") {
		rate, hz, slope := row.Float(t, "fs"), row.Float(t, "f0_hz"), 6*int(row.Float(t, "order"))
		if slope > 24 {
			continue
		}
		found++
		sections := cascade(row["type"], filter.Cut{Hz: hz, Slope: slope}, int(rate))
		points["dB_half_f0"], points["dB_f0"] = hz/2, hz
		for column, f := range points {
			if want := row.Float(t, column); want > -140 {
				require.InDelta(t, want, filter.ResponseDB(sections, f, rate), 1.1e-5, "%s of %v", column, row)
			}
		}
	}
	require.Greater(t, found, 20)
}

func cascade(kind string, c filter.Cut, rateHz int) []filter.Biquad {
	if kind == "HPF" {
		return filter.HighPass(c, rateHz)
	}
	return filter.LowPass(c, rateHz)
}

// Source: the closed form |H|² = 1/(1+(Ωc/Ω)^2n), Ω = tan(πf/fs), which the
// bilinear transform of a Butterworth high-pass obeys exactly; low-pass alike.
func TestEveryOrderObeysTheFormula(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000, 192000} {
		for _, slope := range filter.Slopes[1:] {
			for _, hz := range []float64{20, 80, 300, 5000, 12000} {
				high := filter.HighPass(filter.Cut{Hz: hz, Slope: slope}, rate)
				low := filter.LowPass(filter.Cut{Hz: hz, Slope: slope}, rate)
				for _, f := range []float64{hz / 2, hz, hz * 1.5} {
					ratio := math.Tan(math.Pi*hz/float64(rate)) / math.Tan(math.Pi*f/float64(rate))
					n := float64(slope / 6)
					require.InDelta(t, -10*math.Log10(1+math.Pow(ratio, 2*n)), filter.ResponseDB(high, f, float64(rate)), 1e-6)
					require.InDelta(t, -10*math.Log10(1+math.Pow(1/ratio, 2*n)), filter.ResponseDB(low, f, float64(rate)), 1e-6)
				}
				require.InDelta(t, -3.0103, filter.ResponseDB(high, hz, float64(rate)), 0.0001)
				require.InDelta(t, -3.0103, filter.ResponseDB(low, hz, float64(rate)), 0.0001)
			}
		}
	}
}

// Source: scipy.signal.sosfilt, double precision.
func TestFixture(t *testing.T) {
	sections := append(filter.HighPass(filter.Cut{Hz: 80, Slope: 24}, 48000), filter.LowPass(filter.Cut{Hz: 12000, Slope: 12}, 48000)...)
	noise, impulse := make([]filter.State, len(sections)), make([]filter.State, len(sections))
	rows := reference.Rows(t, "filter_fixture.csv")
	require.Len(t, rows, 64)
	for i, row := range rows {
		require.InDelta(t, row.Float(t, "output"), step(noise, sections, row.Float(t, "input")), 1e-12, "noise at %d", i)
		unit := 0.0
		if i == 0 {
			unit = 1
		}
		require.InDelta(t, row.Float(t, "impulse_output"), step(impulse, sections, unit), 1e-12, "impulse at %d", i)
	}
}

func step(states []filter.State, sections []filter.Biquad, x float64) float64 {
	for i := range sections {
		x = states[i].Step(&sections[i], x)
	}
	return x
}

func TestCutoffStaysUnderNyquist(t *testing.T) {
	for _, slope := range filter.Slopes[1:] {
		for _, s := range filter.LowPass(filter.Cut{Hz: 20000, Slope: slope}, 32000) {
			require.Less(t, math.Abs(s.A2), 1.0)
			require.Less(t, math.Abs(s.A1), 1+s.A2+1e-12, "stable")
		}
	}
}
