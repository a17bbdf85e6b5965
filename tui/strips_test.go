package tui

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/strips"
)

func stripsOf(r *root) strips.Settings {
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.strips
}

// Two people, a strip each, at 80 × 24: parted by one key without a jump, named,
// set, sent and linked again, and each step says what it did.
func TestTwoPeopleOnTheMonitor(t *testing.T) {
	r := still(t, nil, 80, 24)
	before := stripsOf(r)
	press(r, "k")
	shows(t, r, "Each microphone has its own controls now")
	want := before
	want.Unlinked = true
	require.Equal(t, want, stripsOf(r), "no value jumps")
	press(r, "y", "host", "enter", "n", "y", "guest", "enter", "up")
	shows(t, r, "host")
	shows(t, r, "▸guest")
	shows(t, r, "+3.5 dB 80/24 12500/12")
	require.Equal(t, [2]float64{3, 3.5}, [2]float64{stripsOf(r).Strips[0].Chain.GainDB, stripsOf(r).Strips[1].Chain.GainDB})
	press(r, "p")
	shows(t, r, "guest: polarity inverted")
	require.True(t, stripsOf(r).Strips[1].Inverted)
	press(r, "p", "v")
	shows(t, r, "To the camera: everybody on both channels, the right one 10 dB lower")
	require.Equal(t, strips.Safety, stripsOf(r).Route)
	shows(t, r, "safety   2") // the camera meter's lower channel
	press(r, "u")
	shows(t, r, "No headphones")
	r.opt.parts.Sound.(*fakeSound).plugIn()
	press(r, "u")
	shows(t, r, "In the headphones: guest alone")
	require.Equal(t, 2, stripsOf(r).Solo)
	press(r, "ctrl+r")
	require.Zero(t, stripsOf(r).Solo, "off when a take begins")
	press(r, "k")
	shows(t, r, "Locked while the take rolls")
	press(r, "ctrl+g", "k")
	shows(t, r, "Linked: host is now set like guest")
	require.Equal(t, 3.5, stripsOf(r).Strips[0].Chain.GainDB)
}
