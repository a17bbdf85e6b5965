package timecode

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The worked counts of drop-frame at 29.97 (SMPTE ST 12-1: two labels are
// dropped each minute but every tenth; from memory): 1798 pictures to a minute,
// 17982 to ten, 107892 to an hour.
func TestDropFrameLabels(t *testing.T) {
	ntsc, double := Rate{30000, 1001}, Rate{60000, 1001}
	for _, c := range []struct {
		frame int64
		rate  Rate
		drop  bool
		label string
	}{
		{0, ntsc, true, "00:00:00;00"}, {1799, ntsc, true, "00:00:59;29"}, {1800, ntsc, true, "00:01:00;02"},
		{3597, ntsc, true, "00:01:59;29"}, {3598, ntsc, true, "00:02:00;02"}, {17981, ntsc, true, "00:09:59;29"}, {17982, ntsc, true, "00:10:00;00"},
		{107892, ntsc, true, "01:00:00;00"}, {107892, ntsc, false, "00:59:56:12"}, {24 * 107892, ntsc, true, "00:00:00;00"},
		{3600, double, true, "00:01:00;04"}, {2 * 17982, double, true, "00:10:00;00"},
		{86400 * 24, Rate{24000, 1001}, false, "00:00:00:00"}, {86399*25 + 24, Rate{25, 1}, false, "23:59:59:24"}, {60 * 60, Rate{60, 1}, false, "00:01:00:00"},
	} {
		require.Equal(t, c.label, Code{c.frame, c.rate, c.drop}.String())
		if c.frame < 20*107892 {
			back, err := Parse(c.label, c.rate)
			require.NoError(t, err)
			require.Equal(t, c.frame%(86400*c.rate.Labels()), back.Frame, c.label)
		}
	}
}

func TestEveryDropFrameLabelIsRead(t *testing.T) {
	r := Rate{30000, 1001}
	for frame := int64(0); frame < 24*107892; frame += 7 {
		back, err := Parse(Code{frame, r, true}.String(), r)
		require.NoError(t, err)
		require.Equal(t, frame, back.Frame)
	}
}

func TestRates(t *testing.T) {
	for text, want := range map[string]Rate{"23.976": {24000, 1001}, "24000/1001": {24000, 1001}, "23.98": {24000, 1001}, "24": {24, 1}, "25/1": {25, 1},
		"2997/100": {30000, 1001}, "30": {30, 1}, "50": {50, 1}, "59.94": {60000, 1001}, "60": {60, 1}, "15": {15000, 1000}} {
		r, err := ParseRate(text)
		require.NoError(t, err)
		require.Equal(t, want, r, text)
	}
	require.Equal(t, "23.976", Rate{24000, 1001}.String())
	require.Equal(t, "29.97", Rate{30000, 1001}.String())
	require.InDelta(t, 3603.6, Code{Frame: 108000, Rate: Rate{30000, 1001}}.Seconds(), 1e-9)
	for _, bad := range []string{"", "0/0", "x", "90000/1", "NaN"} {
		_, err := ParseRate(bad)
		require.Error(t, err, bad)
	}
	for _, bad := range []string{"", "1:2:3", "00:01:00;00", "25:00:00:00", "00:00:00:30", "a:b:c:d"} {
		_, err := Parse(bad, Rate{30000, 1001})
		require.Error(t, err, bad)
	}
}
