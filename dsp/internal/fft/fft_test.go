package fft

import (
	"math/cmplx"
	"math/rand/v2"
	"testing"

	library "github.com/mjibson/go-dsp/fft"
	"github.com/stretchr/testify/require"
)

func TestTransformEqualsTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for n := 2; n <= 4096; n *= 2 {
		x := make([]complex128, n)
		for i := range x {
			x[i] = complex(r.NormFloat64(), r.NormFloat64())
		}
		want := library.FFT(x)
		New(n).Transform(x)
		for i := range x {
			require.Less(t, cmplx.Abs(x[i]-want[i]), 1e-10*float64(n))
		}
	}
}

func TestRealTransformEqualsTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for n := 4; n <= 4096; n *= 2 {
		x := make([]float64, n)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		want, got := library.FFTReal(x), make([]complex128, n/2)
		NewReal(n).Transform(got, x)
		for i := range got {
			require.Less(t, cmplx.Abs(got[i]-want[i]), 1e-10*float64(n))
		}
	}
}

func TestTransformDoesNotAllocate(t *testing.T) {
	p, x := New(2048), make([]complex128, 2048)
	require.Zero(t, testing.AllocsPerRun(20, func() { p.Transform(x) }))
	q, y := NewReal(2048), make([]float64, 2048)
	require.Zero(t, testing.AllocsPerRun(20, func() { q.Transform(x[:1024], y) }))
}
