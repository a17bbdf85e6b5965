package db_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
)

// Source: AES17: the rms level of a full-scale sine, mean square 1/2, is 0 dBFS.
func TestFullScaleSineReadsZero(t *testing.T) {
	require.InDelta(t, 0, db.RMS(0.5), 1e-12)
	require.InDelta(t, 0, db.FromAmplitude(1), 1e-12)
}

func TestThereAndBack(t *testing.T) {
	for level := -140.0; level <= 40; level += 0.7 {
		require.InDelta(t, level, db.FromAmplitude(db.ToAmplitude(level)), 1e-9)
		require.InDelta(t, level, db.FromPower(db.ToPower(level)), 1e-9)
	}
	require.InDelta(t, -6.0206, db.FromAmplitude(-0.5), 1e-4)
}

func TestNothingIsMinusInfinity(t *testing.T) {
	for _, v := range []float64{db.FromAmplitude(0), db.FromPower(0), db.RMS(0)} {
		require.True(t, math.IsInf(v, -1))
	}
}
