package compare

import (
	"math"

	"rollready/dsp"
)

// Bands gives by how many dB each band of b lies above that of a; 0 where
// both are silent or the band does not exist.
func Bands(a, b dsp.Reading) (difference [dsp.BandCount]float64) {
	for i := range min(a.BandsUsable, b.BandsUsable) {
		d := b.Bands[i].LevelDBFS - a.Bands[i].LevelDBFS
		if !math.IsNaN(d) {
			difference[i] = d
		}
	}
	return difference
}
