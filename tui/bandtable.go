package tui

import "math"

// nominal gives the nominal midband frequency of a band in Hz.
func nominal(i int) float64 {
	series := [...]float64{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8}
	n := i + 12 // 16 Hz is step 12 above 1 Hz
	return math.Round(series[n%10]*math.Pow(10, float64(n/10))*10) / 10
}

// edges gives the band edges in Hz.
func edges(i int) (lo, hi float64) {
	mid := 1000 * math.Pow(10, float64(i-oneKilohertz)/10)
	return mid * math.Pow(10, -0.05), mid * math.Pow(10, 0.05)
}

func livesThere(int) string { return "" }
