package preroll

import (
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
