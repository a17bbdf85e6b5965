package strips

// Summed gives what makes the camera feed of what leaves the strips' chains:
// stereo, valid until it is called again, without the limiter; nil where each
// strip has a channel of its own.
func (s Settings) Summed() func(chains []float32) []float32 {
	count, to := len(s.InUse()), s.Layout()
	if s.Count == 0 || s.Direct() {
		return nil
	}
	var factors [Max][2]float64
	for i := range s.InUse() {
		factors[i] = to.sends(i).factors()
		for side := range factors[i] {
			factors[i][side] *= s.Strips[i].trim()
		}
	}
	var fed []float32
	return func(chains []float32) []float32 {
		fed = fed[:0]
		for at := 0; at+count <= len(chains); at += count {
			var left, right float64
			for i, x := range chains[at : at+count] {
				left, right = left+factors[i][0]*float64(x), right+factors[i][1]*float64(x)
			}
			fed = append(fed, float32(left), float32(right))
		}
		return fed
	}
}
