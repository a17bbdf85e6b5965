package preroll

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
	"rollready/dsp/verdict"
)

// What is to be set here is right once the hands have done what is asked of
// them: both together lead to a check that finds nothing, and neither is asked
// for twice.
func TestHandsAndSettingsTogetherAreRight(t *testing.T) {
	for _, s := range some(t, speakers) {
		for _, peak := range []float64{-45, -52, -1, -2} {
			setup := Setup{Camera: camera.Default}
			first := in(speech(t, s, peak, 48000), peak-60, 1, 48000, white).check(t, setup)
			hands := 0.0
			for _, f := range first.Findings {
				if f.Place == verdict.Interface {
					hands += float64(f.ByDB)
				}
			}
			require.InDelta(t, verdict.InputTargetDBTP-peak, hands, 1.5, "%s at %g: %+v", s.name, peak, first.Findings)
			gain := float64(first.Recommend.OutputGainDB)
			require.InDelta(t, camera.Default.Middle()-verdict.InputTargetDBTP, gain, 1.5, "%s at %g", s.name, peak)
			setup.Chain.GainDB = gain
			done := in(speech(t, s, peak+hands, 48000), peak+hands-60, 1, 48000, white).check(t, setup)
			require.Equal(t, verdict.Ready, done.Verdict, "%s at %g: %+v", s.name, peak, done.Findings)
			require.InDelta(t, gain, float64(done.Recommend.OutputGainDB), 1)
		}
	}
}

// Nine pops drive the converter over, the voice sits in the window: the one
// advice is to turn the interface down, and what is recommended says that it
// suits after that.
func TestAnOverloadOfPopsGetsOneAdvice(t *testing.T) {
	for _, s := range some(t, speakers) {
		for _, dc := range []float64{0, 0.02} {
			voice := speech(t, s, -10, 48000)
			for n := range 9 {
				at := (n + 1) * len(voice) / 11
				for i := range 480 {
					voice[at+i] += 2 * math.Sin(math.Pi*float64(i)/480)
				}
			}
			k := in(clip(shift(voice, dc), 1), -70, 1, 48000, white)
			r := k.check(t, Setup{Camera: camera.Default})
			overloads := 0
			for _, f := range r.Findings {
				require.NotEqual(t, verdict.TooQuiet, f.Code, "%s: %s", s.name, f.Message)
				if f.Code == verdict.InputClipped || f.Code == verdict.FlatTopped {
					overloads++
				}
			}
			require.Equal(t, 1, overloads, "%s, offset %g: %+v", s.name, dc, r.Findings)
			require.Equal(t, "once the interface is down by 12 dB", r.Recommend.Once(), s.name)
		}
	}
}
