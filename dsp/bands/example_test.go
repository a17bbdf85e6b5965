package bands_test

import (
	"fmt"
	"math"

	"rollready/dsp/bands"
)

// A sine with peaks at −20 dBFS reads −20 dBFS in its band (AES17: a sine at
// full scale is 0 dBFS); its neighbours read what leaks over the edges.
func Example() {
	const rateHz = 48000
	m := bands.New(rateHz, 1)
	block := make([]float32, rateHz)
	for i := range block {
		block[i] = float32(0.1 * math.Sin(2*math.Pi*1000*float64(i)/rateHz))
	}
	m.Process(block)
	for i := range m.Usable() {
		if level := m.LevelDBFS(i); level > -60 {
			fmt.Printf("%5.0f Hz %6.1f dBFS  %s\n", bands.At(i).NominalHz, level, bands.At(i).LivesHere)
		}
	}
	// Output:
	//   800 Hz  -49.6 dBFS  open vowels; a nasal tone when too strong
	//  1000 Hz  -20.0 dBFS  vowels; where line-up tone sits
	//  1250 Hz  -42.8 dBFS  upper vowels; tinny loudspeakers and telephones
}
