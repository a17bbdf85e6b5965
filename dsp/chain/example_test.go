package chain_test

import (
	"fmt"
	"math"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
)

// The chain takes rumble away, raises the voice and holds the ceiling.
func Example() {
	const rateHz = 48000
	set := chain.Settings{GainDB: 6, HighPass: filter.Cut{Hz: 80, Slope: 24}, Limit: chain.Limit{On: true, CeilingDBTP: -1}}
	if err := set.Check(); err != nil {
		fmt.Println(err)
		return
	}
	for _, hz := range []float64{20, 80, 1000} {
		fmt.Printf("%4.0f Hz: %+.1f dB\n", hz, set.ResponseDB(hz, rateHz))
	}

	c := chain.New(rateHz, 1)
	c.Set(set)
	block := make([]float32, rateHz)
	for i := range block {
		block[i] = float32(0.8 * math.Sin(2*math.Pi*1000*float64(i)/rateHz))
	}
	c.Process(block) // in place
	peak := 0.0
	for _, x := range block {
		peak = max(peak, math.Abs(float64(x)))
	}
	fmt.Printf("peak %.1f dBFS, %.1f dB taken back, %d frames late\n", 20*math.Log10(peak), c.ReductionDB(), c.LatencyFrames())
	// Output:
	//   20 Hz: -42.2 dB
	//   80 Hz: +3.0 dB
	// 1000 Hz: +6.0 dB
	// peak -1.2 dBFS, 5.2 dB taken back, 94 frames late
}
