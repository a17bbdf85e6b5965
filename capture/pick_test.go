package capture

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCopyTakesWhatWasPicked(t *testing.T) {
	src := []float32{1, 2, 3, 4}
	for _, c := range []struct {
		pick     Pick
		channels int
		want     []float32
	}{
		{Auto, 1, []float32{1, 2, 3, 4}}, {Auto, 2, []float32{1, 2, 3, 4}}, {Auto, 4, []float32{1, 2}},
		{"1", 1, []float32{1, 2, 3, 4}}, {"1", 2, []float32{1, 3}}, {"2", 2, []float32{2, 4}},
		{"1+2", 2, []float32{1, 2, 3, 4}}, {"2+1", 2, []float32{2, 1, 4, 3}}, {"1+1", 2, []float32{1, 1, 3, 3}},
		{Mix, 1, []float32{1, 2, 3, 4}}, {Mix, 2, []float32{1.5, 3.5}},
	} {
		k, err := NewPicker(c.pick, c.channels)
		require.NoError(t, err)
		require.Equal(t, c.want, k.Copy(make([]float32, 4), src), "%q of %d", c.pick, c.channels)
	}
}
