//go:build !amd64

package dot

const wide = false

func product(a, b []float64) float64 { return plain(a, b) }
