package rig

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/spill"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
)

// two are two people with a strip each: the first 6 LU louder at the inputs.
func two() (s State) {
	s.Status.Picked = strips.ChannelsOf(2, []int{0, 1})
	s.Settings.Strips.Unlinked = true
	s.Settings.Strips.Strips[0].Name, s.Settings.Strips.Strips[1].Name = "host", "guest"
	s.Reading.Between = spill.Result{Voice: [2]spill.Voice{
		{Known: true, LUFS: -20, SpillDB: -12, Placed: true, LaterS: 0.001},
		{Known: true, LUFS: -26, SpillDB: -20, Placed: true, LaterS: 0.001}}}
	return s
}

// A dip of −12 dB spill is 20·log10(1 − 10^(−12/20)) = −2.5 dB.
func TestWhatLiesBetweenTwoPeople(t *testing.T) {
	for want, change := range map[string]func(s *State){
		"host 6 dB louder: turn guest up; spill −12 dB; summed: dips −2.5 dB":           func(*State) {},
		"host and guest equally loud; spill −6 dB; summed: dips −6.0 dB":                func(s *State) { s.Settings.Strips.Strips[1].Chain.GainDB = 6 },
		"guest 4 dB louder: turn host up; spill −2 dB; summed: dips −13.7 dB":           func(s *State) { s.Settings.Strips.Strips[1].Chain.GainDB = 10 },
		"Not known yet: let each speak alone for some seconds":                          func(s *State) { s.Reading.Between.Voice[1].Known = false },
		"Nothing to compare: two microphones with controls of their own are needed (k)": func(s *State) { s.Settings.Strips.Unlinked = false },
		"Opposite polarity: turn guest's (p). host 6 dB louder: turn guest up; spill −12 dB; summed: dips −2.5 dB": func(s *State) {
			s.Reading.Between.Voice[0].Inverted, s.Reading.Between.Voice[1].Inverted = true, true
		},
	} {
		s := two()
		change(&s)
		require.Equal(t, want, s.BetweenWords())
	}
}

func TestFindingsNameWhoSpeaks(t *testing.T) {
	s := two()
	for c, who := range []string{"host", "guest"} {
		f := s.withName(verdict.Clipped(verdict.On(c+1), 3))
		require.Contains(t, f.Message+f.Line, who+"'s mic")
		require.NotContains(t, f.Message+f.Line+f.Action, "hannel")
	}
	s.Settings.Strips.Strips[0].Name = ""
	require.Contains(t, s.withName(verdict.Clipped(verdict.On(1), 3)).Message, "hannel 1")
}
