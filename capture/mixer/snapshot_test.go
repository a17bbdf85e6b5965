package mixer

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/presets"
)

// Decibels of what sound goes through one after the other add up, and a mute
// anywhere mutes: plain arithmetic.
func TestADeviceWithOurOwnSlider(t *testing.T) {
	at := func(db float64) Setting { return settingOf([]float64{db}, false, true) }
	own, muted := at(-6), settingOf([]float64{-6}, true, true)
	s := Snapshot{
		outputs: map[string]device{
			"both":    {Setting: at(-10), own: &own},
			"muted":   {Setting: at(0), own: &muted},
			"untold":  {own: &own},
			"no own":  {Setting: at(-10)},
			"uneven":  {Setting: settingOf([]float64{0, -3}, false, true), own: &own},
			"nothing": {Setting: settingOf([]float64{math.Inf(-1), math.Inf(-1)}, false, true), own: &own},
		},
		inputs: map[string]device{"its own volume": {Setting: at(12), whole: true, own: &own}},
	}
	require.Equal(t, at(-16), s.Through("both", "any"))
	require.Equal(t, at(-10), s.Output("both"))
	require.True(t, s.Through("muted", "any").Muted)
	require.Equal(t, Setting{}, s.Through("untold", "any"))
	require.Equal(t, Setting{}, s.Through("no own", "any"))
	require.Equal(t, Setting{}, s.Through("no such", "any"))
	require.Equal(t, presets.Volume{Known: true, LoudestDB: -6, QuietestDB: -9}, s.Through("uneven", "any").Volume)
	require.True(t, s.Through("nothing", "any").Muted)
	require.Equal(t, own, s.From("its own volume", "any"), "what the interface does before its converter is left to the user")
}
