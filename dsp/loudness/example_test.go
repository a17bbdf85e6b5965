package loudness_test

import (
	"fmt"
	"math"

	"rollready/dsp/loudness"
)

// A stereo sine of 1 kHz with peaks at −23 dBFS reads −23 LUFS in all three
// times: EBU Tech 3341, test case 1.
func Example() {
	const rateHz = 48000
	m := loudness.New(rateHz, 2)
	block := make([]float32, 0, 2*20*rateHz)
	for i := range 20 * rateHz {
		x := float32(math.Pow(10, -23.0/20) * math.Sin(2*math.Pi*1000*float64(i)/rateHz))
		block = append(block, x, x)
	}
	m.Process(block)
	fmt.Printf("momentary %.1f, short-term %.1f, integrated %.1f LUFS, range %.1f LU\n", m.Momentary(), m.ShortTerm(), m.Integrated(), m.Range())
	// Output: momentary -23.0, short-term -23.0, integrated -23.0 LUFS, range 0.0 LU
}
