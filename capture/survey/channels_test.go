package survey

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A dead and an inverted channel are named among four of a file.
func TestFaultyChannelsAmongFour(t *testing.T) {
	voice := speak(t, speakers[0], withPauses)
	x := append(make([]float64, 2*rate), voice...)
	room := func(seed uint64) []float64 { return white(-72, len(x), seed) }
	path := save(t, add(x, room(1)), add(scale(x, -3), room(2)), add(inverted(x), room(3)), room(4))
	r, err := File(t.Context(), path, nil)
	require.NoError(t, err)
	require.Equal(t, []string{"Channel 3 carries the same sound with inverted polarity as channel 1.", "Channel 4 carries no voice."}, messages(r.Findings))
	clean := save(t, add(x, room(1)), add(scale(x, -3), room(2)), add(x, room(3)), add(x, room(4)))
	r, err = File(t.Context(), clean, nil)
	require.NoError(t, err)
	require.Empty(t, r.Findings)
}
