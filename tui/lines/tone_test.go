package lines

import (
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"rollready/capture/rig"
	linetone "rollready/dsp/lineup/tone"
)

// steadyTone is a tone that stands at whatever level it was set to.
type steadyTone struct {
	rig.Line
	level float64
}

func (s *steadyTone) Set(t linetone.Settings) { s.level = t.LevelDBFS }
func (s *steadyTone) State() rig.LineState {
	return rig.LineState{Sounds: rig.ToneSounds, LevelDBFS: s.level}
}

// Whatever is typed while the tone sounds, it is answered in lines without a
// control character, and the tone stays within its bounds.
func FuzzLineUpWords(f *testing.F) {
	for _, words := range []string{"+", "-3", "reads -14", "reads −14 dBFS", "clips", "stop", "reads", "+1e308", "reads NaN", "\x1b[31m+1", "+Inf"} {
		f.Add(words, "reads -20")
	}
	f.Fuzz(func(t *testing.T, first, second string) {
		var said strings.Builder
		s := Stepper{Settings: linetone.Default, Found: &rig.ReadOff{}, Out: &said, Line: &steadyTone{level: linetone.Default.LevelDBFS}}
		for _, line := range []string{first, second} {
			s.do(strings.TrimSpace(line))
			require.NoError(t, s.Settings.Check())
		}
		require.True(t, said.Len() == 0 || strings.HasSuffix(said.String(), "\n"))
		for _, r := range strings.ReplaceAll(said.String(), "\n", "") {
			require.False(t, unicode.IsControl(r), "%q", said.String())
		}
	})
}

// TestOutputsOfOneNameAreToldApart where a person is asked to name one.
func TestOutputsOfOneNameAreToldApart(t *testing.T) {
	twins := []rig.Device{{Name: "USB interface", Detail: "hw:1, 48 kHz"}, {Name: "USB interface", Detail: "hw:2, 48 kHz"}, {Name: "Jack", Detail: "default"}}
	require.Equal(t, `"USB interface" (hw:1, 48 kHz), "USB interface" (hw:2, 48 kHz), "Jack"`, outputNames(twins))
}
