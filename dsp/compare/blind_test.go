package compare

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// From scipy.stats.binom.sf(right-1, rounds, 0.5), scipy 1.10.1.
var guessing = []struct {
	right, rounds int
	p             float64
}{
	{1, 1, 0.5}, {5, 5, 0.03125}, {7, 8, 0.03515625}, {8, 10, 0.0546875},
	{9, 10, 0.0107421875}, {10, 10, 0.0009765625}, {10, 12, 0.019287109375},
	{12, 16, 0.0384063720703125}, {13, 16, 0.0106353759765625}, {15, 20, 0.020694732666015625},
	{18, 25, 0.021642625331878662}, {32, 50, 0.032454323536136087}, {59, 100, 0.044313040057033834},
	{100, 100, 7.8886090522101181e-31}, {0, 10, 1}, {5, 10, 0.623046875},
}

func TestGuessingEqualsTheTable(t *testing.T) {
	for _, c := range guessing {
		require.InEpsilon(t, c.p, Guessing(c.right, c.rounds), 1e-12, "%d of %d", c.right, c.rounds)
	}
	require.Equal(t, 1.0, Guessing(0, 0))
}

func TestTrial(t *testing.T) {
	trial, err := NewTrial(10, rand.New(rand.NewPCG(1, 2)))
	require.NoError(t, err)
	for i := range 10 {
		require.False(t, trial.Done())
		answer := trial.X()
		if i == 3 {
			answer = answer.Other()
		}
		trial.Answer(answer)
	}
	require.True(t, trial.Done())
	require.Equal(t, 9, trial.Right())
	require.InDelta(t, 0.0107421875, trial.Guessing(), 1e-12)
	trial.Answer(A)
	answered, all := trial.Rounds()
	require.Equal(t, 10, answered)
	require.Equal(t, 10, all)
	for _, n := range []int{0, -1, MaxRounds + 1} {
		_, err := NewTrial(n, rand.New(rand.NewPCG(1, 2)))
		require.ErrorContains(t, err, "choose 1 to 100")
	}
}

// Neither side is favoured, and neither is a change of side.
func TestDrawIsFair(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	b, changes := 0, 0
	for range 200 {
		trial, _ := NewTrial(100, r)
		for i, x := range trial.x {
			b += int(x)
			if i > 0 && x != trial.x[i-1] {
				changes++
			}
		}
	}
	// 20000 tosses: 5 standard deviations of a fair coin are 354
	require.InDelta(t, 10000, b, 354)
	require.InDelta(t, 9900, changes, 354)
}
