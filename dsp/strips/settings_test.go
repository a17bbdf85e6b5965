package strips_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

func TestLayouts(t *testing.T) {
	for text, want := range map[string]strips.Layout{"together": strips.Together, "safety": strips.Safety, "left, none": "left,none", "both": "both"} {
		got, err := strips.ParseLayout(text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for _, text := range []string{"sideways", "", "left,", "left,left,left,left,left"} {
		_, err := strips.ParseLayout(text)
		require.ErrorContains(t, err, "choose together, apart or safety, or for each microphone left, right, both or none")
	}
	_, err := strips.ParseLayout("none, none")
	require.ErrorContains(t, err, "sends no microphone: give one of them left, right or both")
	s := strips.Settings{Count: 2, Route: "none,left"}
	require.False(t, s.AllMuted())
	s.Strips[1].Muted = true
	require.True(t, s.AllMuted(), "muted, or sent nowhere")
	for _, c := range []struct {
		count       int
		route       strips.Layout
		camera, ear strips.Layout
		feed        int
		direct      bool
	}{
		{1, "", strips.Together, strips.Together, 1, true},
		{2, "", strips.Apart, strips.Apart, 2, true},
		{3, "", strips.Apart, strips.Apart, 2, false},
		{1, strips.Safety, strips.Safety, strips.Together, 2, false},
		{2, strips.Together, strips.Together, strips.Together, 1, false},
		{2, "left,right", "left,right", "left,right", 2, true},
		{2, "right,left", "right,left", "right,left", 2, false},
		{1, "left", "left", "left", 2, false},
	} {
		s := strips.Settings{Count: c.count, Route: c.route}
		require.Equal(t, c.camera, s.Layout())
		require.Equal(t, c.ear, s.EarLayout())
		require.Equal(t, c.feed, s.Feed())
		require.Equal(t, c.direct, s.Direct())
	}
}

func TestNames(t *testing.T) {
	names, err := strips.ParseNames("host, guest 2,Zoë")
	require.NoError(t, err)
	require.Equal(t, []string{"host", "guest 2", "Zoë"}, names)
	for _, text := range []string{"a,b,c,d,e", "far too long a name", "a\x1b[2J"} {
		_, err := strips.ParseNames(text)
		require.Error(t, err)
	}
}

// Linking makes no value jump without saying so.
func TestLinkTellsWhatChanges(t *testing.T) {
	s := people(3)
	s.Strips[0].Name, s.Strips[1].Name = "host", "guest"
	require.Equal(t, []string{"host is now set like guest", "microphone 3 is now set like guest"}, s.Link(1))
	require.Empty(t, s.Link(0))
	for _, strip := range s.InUse() {
		require.Equal(t, s.Strips[1].Chain, strip.Chain)
	}
	require.Equal(t, "host", s.Strips[0].Name)
	s.Set(2, chain.Settings{GainDB: 5})
	require.Equal(t, 5.0, s.Strips[0].Chain.GainDB, "linked: all together")
	s.Unlinked = true
	s.Set(2, chain.Settings{GainDB: 7})
	require.Equal(t, 5.0, s.Strips[0].Chain.GainDB)
}

func TestCheckNamesWhoIsWrong(t *testing.T) {
	for want, change := range map[string]func(s *strips.Settings){
		"5 microphones: choose 1 to 4":           func(s *strips.Settings) { s.Count = 5 },
		"guest: gain 41 dB: choose -60 to 40 dB": func(s *strips.Settings) { s.Strips[1].Chain.GainDB = 41 },
		"choose together, apart or safety":       func(s *strips.Settings) { s.Ears = "up" },
		"solo of microphone 3: there are 2":      func(s *strips.Settings) { s.Solo = 3 },
		"limit 1 dBTP":                           func(s *strips.Settings) { s.Limit = chain.Limit{On: true, CeilingDBTP: 1} },
	} {
		s := strips.Settings{Count: 2}
		s.Strips[1].Name, s.Unlinked = "guest", true
		change(&s)
		require.ErrorContains(t, s.Check(), want)
		b := strips.NewBank(rate, 2)
		b.Set(s) // changes nothing
		in := mics(2, 100)
		require.Equal(t, in, through(b, in, 2, nil).Camera)
	}
}

func ExampleSettings_Layout() {
	s := strips.Settings{Unlinked: true, Route: strips.Safety}
	s.Strips[0].Name, s.Strips[0].Chain.HighPass = "host", filter.Cut{Hz: 120, Slope: 24}
	s.Strips[1].Name = "guest"
	fmt.Println(s.Layout(), "=", s.Layout().Does())
	// Output: safety = everybody on both channels, the right one 10 dB lower
}
