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

// An output of +4 dBu at full scale through a 20 dB pad into inputs that are
// full at −10 dBV and at 10 mV (−40 dBV): 1.78 − 20 + 10 = −8.22 dB and
// 1.78 − 20 + 40 = +21.78 dB.
func TestLanding(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.FromDBU(4), PadDB: 20, Settings: []gainplan.Setting{
		{Name: "low", FullScale: gainplan.FromDBV(-10)},
		{Name: "high", FullScale: gainplan.FromVolts(0.010)},
		{Name: "?", FullScale: gainplan.Unknown},
	}}
	l := plan.Land()
	require.InDelta(t, -28.2185, l[0].AlignsAt, 1e-3)
	require.InDelta(t, 8.2185, l[0].LossDB, 1e-3)
	require.Zero(t, l[0].PadDB)
	require.InDelta(t, 1.7815, l[1].AlignsAt, 1e-3)
	require.Equal(t, 25.0, l[1].PadDB)
	require.Zero(t, l[1].LossDB)
	require.True(t, math.IsNaN(l[2].AlignsAt))
	require.Contains(t, l[2].Advice, "line up by tone")
	require.Equal(t, 0, gainplan.Best(l))
	require.Equal(t, -1, gainplan.Best(l[2:]))
}

func TestUnknownOutput(t *testing.T) {
	plan := gainplan.Plan{Output: gainplan.Unknown, Settings: []gainplan.Setting{{Name: "low", FullScale: gainplan.FromDBV(-10)}}}
	require.True(t, math.IsNaN(plan.Land()[0].OffsetDB))
}

func TestCautionsNameTheDangers(t *testing.T) {
	all := strings.Join(gainplan.Cautions(), "\n")
	for _, word := range []string{"plug-in power", "DC block", "qualified technician", "pad", "hearing"} {
		require.Contains(t, all, word)
	}
}
