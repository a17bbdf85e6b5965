package capture

// Sanitise replaces NaN and ±Inf by silence and counts them. Audio thread:
// does not allocate.
func Sanitise[T float32 | float64](block []T) (replaced int64) {
	if allFinite(block) {
		return 0
	}
	for i, x := range block {
		if x-x != 0 {
			block[i] = 0
			replaced++
		}
	}
	return replaced
}

// allFinite adds up x·0, which is NaN for what is not finite; in four strands,
// because one waits for itself.
func allFinite[T float32 | float64](block []T) bool {
	var a, b, c, d T
	for ; len(block) >= 4; block = block[4:] {
		a += block[0] * 0
		b += block[1] * 0
		c += block[2] * 0
		d += block[3] * 0
	}
	for _, x := range block {
		a += x * 0
	}
	return a+b+c+d == 0
}
