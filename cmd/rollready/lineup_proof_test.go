//go:build proof

package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Filters of a general-purpose library with known settings.
func TestProofLineupOfFilteredClips(t *testing.T) {
	u := newUser(t)
	sent := sequenceFile(t, u)
	for _, c := range []struct {
		name, filters string
		check         func(t *testing.T, l seenLineup)
	}{
		{"levelled slowly", "acompressor=threshold=-20dB:ratio=2:attack=200:release=9000", func(t *testing.T, l seenLineup) {
			require.True(t, l.Automatic.On)
		}},
		{"levelled fast", "acompressor=threshold=-30dB:ratio=4:attack=5:release=50", func(t *testing.T, l seenLineup) {
			require.True(t, l.Automatic.On)
		}},
		{"companded", "compand=attacks=0.3:decays=0.8:points=-70/-70|-60/-20|0/-12", func(t *testing.T, l seenLineup) {
			require.True(t, l.Automatic.On)
		}},
		{"limited", "alimiter=limit=0.5:attack=5:release=50:level=0", func(t *testing.T, l seenLineup) {
			require.False(t, l.Automatic.On)
			require.InDelta(t, -5.5, *l.Clip, 0.5) // 0.5 dB past −6.02 dBFS
		}},
		{"cut off flat", "volume=9dB", func(t *testing.T, l seenLineup) {
			require.False(t, l.Automatic.On)
			require.InDelta(t, 9, *l.Offset, 0.2)
			require.InDelta(t, -9, *l.Clip, 0.5)
		}},
		{"inverted, swapped, filtered", "highpass=f=80,volume=-3dB,aeval=-val(1)|-val(0)", func(t *testing.T, l seenLineup) {
			require.False(t, l.Automatic.On)
			require.Equal(t, "inverted", l.Polarity)
			require.Equal(t, "swapped", l.Wiring)
			require.InDelta(t, -3.0, at(t, l, 80), 0.3)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.check(t, parseLineup(t, u.ok("lineup", "read", "--json", through(t, sent, "clip.wav", "-af", c.filters, "-c:a", "pcm_s16le"))))
		})
	}
}
