package gainplan_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/gainplan"
)

// Published definitions and nominal levels: 0 dBu = √0.6 V = 0.7746 V,
// 0 dBV = 1 V, consumer nominal −10 dBV = 316.2 mV, professional nominal
// +4 dBu = 1.2277 V, 11.78 dB apart; 2 V = +8.24 dBu.
func TestUnits(t *testing.T) {
	for text, volts := range map[string]float64{
		"0 dBu": 0.774597, "0dBV": 1, "-10 dBV": 0.316228, "−10dbv": 0.316228, "+4dBu": 1.227653,
		"18 dBu": 6.152840, "+24dBu": 12.276530, "2V": 2, "300 mV": 0.3, "2.5mV": 0.0025,
	} {
		l, err := gainplan.ParseLevel(text)
		require.NoError(t, err)
		require.InEpsilon(t, volts, l.Volts(), 1e-6, text)
		require.InDelta(t, 20*math.Log10(volts), l.DBV(), 1e-5)
		require.InDelta(t, 20*math.Log10(volts/math.Sqrt(0.6)), l.DBU(), 1e-5)
	}
	require.InDelta(t, 11.7815, gainplan.FromDBU(4).DBV()-gainplan.FromDBV(-10).DBV(), 1e-4)
	require.InDelta(t, 8.2391, gainplan.FromVolts(2).DBU(), 1e-4)
	require.InDelta(t, -2.2185, gainplan.FromDBU(0).DBV(), 1e-4)
}

func TestLevelsInVolts(t *testing.T) {
	for volts, want := range map[float64]string{0.0999: "99.9 mV", 1.2277: "1.23 V", 999.4: "999 V", 999.6: "1000 V", 1234: "1234 V"} {
		require.Contains(t, gainplan.FromVolts(volts).String(), " "+want+")")
	}
}

func TestUnreadableLevels(t *testing.T) {
	for _, text := range []string{"", "4", "dBu", "4 dB", "-3V", "0mV", "NaNdBu", "infV", "900dBu", "4,0dBu"} {
		_, err := gainplan.ParseLevel(text)
		require.Error(t, err, text)
		require.NotContains(t, err.Error(), "\n")
	}
	l, err := gainplan.ParseLevel("unknown")
	require.NoError(t, err)
	require.False(t, l.Known())
}

// An output of +4 dBu at full scale (0 dBu = 0.7746 V, 0 dBV = 1 V: the
// published definitions) through a 20 dB pad into inputs that are full at
// −10 dBV and at 10 mV (−40 dBV): 1.78 − 20 + 10 = −8.22 dB and
// 1.78 − 20 + 40 = +21.78 dB.
func TestLanding(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.FromDBU(4), PadDB: 20, Settings: []gainplan.Setting{
		{Name: "low", FullScale: gainplan.FromDBV(-10)},
		{Name: "high", FullScale: gainplan.FromVolts(0.010)},
		{Name: "?", FullScale: gainplan.Unknown},
	}}
	l := plan.Land()
	require.InDelta(t, -28.2185, float64(l[0].AlignsAt), 1e-3)
	require.Equal(t, -5.0, float64(l[0].PadDB), "15 dB in place of 20")
	require.InDelta(t, 15-11.7815, float64(l[0].LossDB), 1e-3)
	require.InDelta(t, 1.7815, float64(l[1].AlignsAt), 1e-3)
	require.Equal(t, 25.0, float64(l[1].PadDB))
	require.InDelta(t, 45-41.7815, float64(l[1].LossDB), 1e-3)
	require.True(t, math.IsNaN(float64(l[2].AlignsAt)))
	require.Contains(t, l[2].Advice, "line up by tone")
	require.Equal(t, 0, gainplan.Best(l), "the same noise without a pad to be added")
	require.Equal(t, -1, gainplan.Best(l[2:]))
	require.Empty(t, gainplan.Choice(l[2:]))
}

// Worked in volts, by the published definitions: +4 dBu is 1.2277 V. 20 dB of
// pad (÷ 10) and 15 dB more (÷ 5.623) leave 21.83 mV, which lies 3.22 dB below
// the 31.62 mV (−30 dBV) that fill "mic low". An input that is full at 2 V gets
// 0.1228 V, 24.24 dB below, and without the pad 1.2277 V, 4.24 dB below.
func TestAPadIsCheaperThanNoise(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.FromDBU(4), PadDB: 20, Settings: []gainplan.Setting{
		{Name: "mic low", FullScale: gainplan.FromDBV(-30)},
		{Name: "line", FullScale: gainplan.FromVolts(2)},
	}}
	l := plan.Land()
	require.Equal(t, 15.0, float64(l[0].PadDB))
	require.InDelta(t, 20*math.Log10(0.031623/(1.227653/10/5.623413)), float64(l[0].LossDB), 1e-3)
	require.Equal(t, -20.0, float64(l[1].PadDB))
	require.InDelta(t, 20*math.Log10(2/1.227653), float64(l[1].LossDB), 1e-3)
	require.InDelta(t, 20*math.Log10(2/0.1227653), -float64(l[1].OffsetDB), 1e-3)
	require.Contains(t, l[1].Advice, "24 dB higher than it need be, with 20 dB less pad 4 dB; the DC block stays in")
	require.Equal(t, 0, gainplan.Best(l))
	require.Equal(t, 1, gainplan.WithoutPad(l))
	require.Equal(t, "Choose mic low with 15 dB more pad: nothing overloads, and the camera's noise is 3 dB higher than it need be."+
		" Without another pad: line with 20 dB less pad (the DC block stays in), noise 4 dB higher.", gainplan.Choice(l))

	plan.Settings[1].FullScale = gainplan.FromDBV(25) // 23.2 dB of noise even without a pad
	l = plan.Land()
	require.Equal(t, 0, gainplan.Best(l))
	require.Contains(t, gainplan.Choice(l), "Without another pad: line with 20 dB less pad (the DC block stays in), noise 23 dB higher.")

	require.Contains(t, gainplan.Choice(l[1:]), "23 dB higher than it need be. More output or a more sensitive setting")
	require.Contains(t, gainplan.Choice(l[:1]), "every setting overloads: then lower the output")
}

// With no pad in the cable: 31.78 dB too much asks for 40 dB and loses 8.22;
// the line input loses 4.24 as it is.
func TestLessNoiseWithoutAPad(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.FromDBU(4), Settings: []gainplan.Setting{
		{Name: "mic low", FullScale: gainplan.FromDBV(-30)},
		{Name: "line", FullScale: gainplan.FromVolts(2)},
	}}
	l := plan.Land()
	require.Equal(t, 40.0, float64(l[0].PadDB))
	require.InDelta(t, 40-31.7815, float64(l[0].LossDB), 1e-3)
	require.Zero(t, float64(l[1].PadDB))
	require.Equal(t, "fits well", l[1].Advice)
	require.Equal(t, "Choose line as it is: nothing overloads, and the camera's noise is 4 dB higher than it need be.", gainplan.Choice(l))
}

// No figure that rounds to nothing is said: an output of +4 dBu into a setting
// that is full at +4.1 dBu loses 0.1 dB of noise, and 20.1 dB behind a pad of 20.
func TestNoLossThatRoundsToNothing(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.FromDBU(4), Settings: []gainplan.Setting{{Name: "line", FullScale: gainplan.FromDBU(4.1)}}}
	require.Equal(t, "Choose line as it is: nothing overloads, and the camera's noise is as low as it can be.", gainplan.Choice(plan.Land()))
	plan.PadDB = 20
	l := plan.Land()
	require.Contains(t, l[0].Advice, "20 dB higher than it need be, with 20 dB less pad not at all; the DC block stays in")
	require.Contains(t, gainplan.Choice(l), "as low as it can be")
	plan.PadDB, plan.Settings[0].FullScale = 0, gainplan.FromDBU(4.6)
	require.Contains(t, gainplan.Choice(plan.Land()), "1 dB higher than it need be.")
}

// TestNothingChosenOverloads: with what is advised done, full output fits every
// setting but for half the decibel that makers round to, and wastes less than
// the coarsest step between pads.
func TestNothingChosenOverloads(t *testing.T) {
	for out := -40.0; out <= 24; out += 0.7 {
		for _, pad := range []float64{0, 6, 20, 40} {
			for full := -60.0; full <= 20; full += 3.3 {
				l := gainplan.Plan{Output: gainplan.FromDBU(out), PadDB: pad, Settings: []gainplan.Setting{{FullScale: gainplan.FromDBV(full)}}}.Land()[0]
				volts := gainplan.FromDBU(out).Volts() * math.Pow(10, -(pad+float64(l.PadDB))/20)
				room := 20 * math.Log10(math.Pow(10, full/20)/volts)
				require.GreaterOrEqual(t, room, -0.5-1e-9)
				require.NotContains(t, l.Advice, "by 0 dB")
				require.InDelta(t, max(room, 0), float64(l.LossDB), 1e-9)
				require.GreaterOrEqual(t, pad+float64(l.PadDB), 0.0)
				if pad+float64(l.PadDB) > 0 {
					require.LessOrEqual(t, float64(l.LossDB), 10.0)
				}
			}
		}
	}
}

func TestUnknownOutput(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.Unknown, Settings: []gainplan.Setting{{Name: "low", FullScale: gainplan.FromDBV(-10)}}}
	require.True(t, math.IsNaN(float64(plan.Land()[0].OffsetDB)))
}

func TestCautionsNameTheDangers(t *testing.T) {
	all := strings.Join(gainplan.Cautions(), "\n")
	for _, word := range []string{"plug-in power", "DC block", "qualified technician", "pad", "hearing"} {
		require.Contains(t, all, word)
	}
}
