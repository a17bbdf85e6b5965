package widget

import (
	"slices"
)

// Other is b where now is a, else a.
func Other[T comparable](now, a, b T) T {
	if now == a {
		return b
	}
	return a
}

// Turn goes n on in a ring of values; from a value that is not in it, to the first.
func Turn[T comparable](ring []T, now T, n int) T {
	i := slices.Index(ring, now)
	if i < 0 {
		return ring[0]
	}
	return ring[(i+n+len(ring))%len(ring)]
}

// Step goes n on in a row of rising values, from the last that is not above now.
func Step(row []float64, now float64, n int) float64 {
	at := 0
	for i, v := range row {
		if v <= now {
			at = i
		}
	}
	return row[min(max(at+n, 0), len(row)-1)]
}
