package dot

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Against the sum in 200 bits (math/big). A sum of n products in doubles is off
// by at most n·2⁻⁵³ times the sum of their sizes (Higham, Accuracy and Stability
// of Numerical Algorithms, section 3.1; from memory).
func TestProductIsTheSumOfProducts(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for n := range 200 {
		a, b := make([]float64, n), make([]float64, n+n%3)
		for i := range b {
			b[i] = random.NormFloat64()
		}
		want, size := new(big.Float).SetPrec(200), 0.0
		for i := range a {
			a[i] = random.NormFloat64()
			size += math.Abs(a[i] * b[i])
			x, y := big.NewFloat(a[i]).SetPrec(200), big.NewFloat(b[i]).SetPrec(200)
			want.Add(want, x.Mul(x, y))
		}
		exact, _ := want.Float64()
		for _, got := range []float64{Product(a, b), plain(a, b)} {
			require.InDelta(t, exact, got, size*float64(n+1)*0x1p-53)
		}
	}
}

func BenchmarkProduct(b *testing.B) {
	x, y := make([]float64, 192), make([]float64, 192)
	for b.Loop() {
		Product(x, y)
	}
}
