package capture

// Sanitise replaces NaN and ±Inf by silence and counts them. Audio thread:
// does not allocate.
func Sanitise(block []float32) (replaced int64) {
	for i, x := range block {
		if x-x != 0 {
			block[i] = 0
			replaced++
		}
	}
	return replaced
}
