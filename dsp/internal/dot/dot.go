// Package dot sums the products of two rows of numbers: the inner loop of every
// filter with a finite response and of every correlation.
package dot

// Product is the sum of a[i]·b[i] over the length of a; b is as long or longer.
// The order of the sum, and so its last bits, are the processor's.
func Product(a, b []float64) float64 {
	b = b[:len(a)]
	if wide && len(a) >= 16 {
		return product(a, b)
	}
	return plain(a, b)
}

// plain sums in four strands, so that the processor overlaps them.
func plain(a, b []float64) float64 {
	var s, t, u, v float64
	for len(a) >= 4 && len(b) >= 4 {
		s += a[0] * b[0]
		t += a[1] * b[1]
		u += a[2] * b[2]
		v += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i, x := range a {
		s += x * b[i]
	}
	return s + t + (u + v)
}
