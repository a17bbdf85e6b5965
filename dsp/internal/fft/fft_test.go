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

func TestTransformDoesNotAllocate(t *testing.T) {
	p, x := New(2048), make([]complex128, 2048)
	require.Zero(t, testing.AllocsPerRun(20, func() { p.Transform(x) }))
}
