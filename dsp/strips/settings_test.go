package strips_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

func TestLayoutsAreTold(t *testing.T) {
	for _, l := range []strips.Layout{strips.Together, strips.Apart, strips.Safety} {
		for count := 1; count <= strips.Max; count++ {
			s := strips.For(count)
			s.Route(l)
			want := l
			if count == 1 && l == strips.Apart {
				want = strips.Custom
			}
			require.Equal(t, want, s.Layout())
			require.NoError(t, s.Check())
		}
		parsed, err := strips.ParseLayout(string(l))
		require.NoError(t, err)
		require.Equal(t, l, parsed)
	}
	s := strips.For(2)
	require.Equal(t, strips.Apart, s.Layout())
	s.Strips[1].Camera[0] = strips.Send{On: true, DB: -6}
	require.Equal(t, strips.Custom, s.Layout())
	_, err := strips.ParseLayout("sideways")
	require.EqualError(t, err, `route "sideways": choose together, apart or safety`)
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
	s.Linked = false
	s.Set(2, chain.Settings{GainDB: 7})
	require.Equal(t, 5.0, s.Strips[0].Chain.GainDB)
}

func TestCheckNamesWhoIsWrong(t *testing.T) {
	for want, change := range map[string]func(s *strips.Settings){
		"5 microphones: choose 1 to 4":                func(s *strips.Settings) { s.Count = 5 },
		"guest: gain 41 dB: choose -60 to 40 dB":      func(s *strips.Settings) { s.Strips[1].Chain.GainDB = 41 },
		"microphone 1: sent at 3 dB: choose -60 to 0": func(s *strips.Settings) { s.Strips[0].Camera[1] = strips.Send{On: true, DB: 3} },
		"solo of microphone 3: there are 2":           func(s *strips.Settings) { s.Solo = 3 },
		"limit 1 dBTP":                                func(s *strips.Settings) { s.Limit = chain.Limit{On: true, CeilingDBTP: 1} },
		"sent at NaN dB":                              func(s *strips.Settings) { s.Strips[0].Phones[0].DB = math.NaN() },
	} {
		s := strips.For(2)
		s.Strips[1].Name = "guest"
		change(&s)
		require.ErrorContains(t, s.Check(), want)
		b := strips.NewBank(rate, 2)
		b.Set(s) // changes nothing
		in := mics(2, 100)
		require.Equal(t, in, through(b, in, 2, nil).Camera)
	}
}

func ExampleSettings_Route() {
	s := strips.For(2)
	s.Strips[0].Name, s.Strips[0].Chain.HighPass = "host", filter.Cut{Hz: 120, Slope: 24}
	s.Strips[1].Name = "guest"
	s.Route(strips.Safety)
	fmt.Println(s.Layout(), "=", s.Layout().Does())
	// Output: safety = everybody on both channels, the right one 10 dB lower
}
