package preroll_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/twovoices"
	"rollready/dsp/preroll"
)

// Each person's turn lies where the scene has it, whatever the gains are.
func TestTurnsAreFound(t *testing.T) {
	s := twovoices.Scenes(twovoices.Clean, 1)[0]
	s.PreampDB = [2]float64{-4, -24}
	find := func(turns ...twovoices.Turn) ([]preroll.Range, error) {
		p := preroll.NewParts(twovoices.RateHz, 2)
		scene.InBlocks(scene.Interleave(s.Mics(t, turns...)...), 2, p.Process)
		room, voices, err := p.FindTurns([]int{host, guest})
		if err == nil {
			require.Less(t, float64(room.End), 5.1*twovoices.RateHz)
		}
		return voices, err
	}
	for _, swap := range []bool{false, true} {
		first, second := host, guest
		if swap {
			first, second = guest, host
		}
		voices, err := find(twovoices.Turn{Who: nobody, Seconds: 5}, twovoices.Turn{Who: first, Seconds: 8}, twovoices.Turn{Who: second, Seconds: 9})
		require.NoError(t, err)
		if swap {
			slices.Reverse(voices)
		}
		for i, place := range []struct{ from, until float64 }{{5, 13}, {13, 22}} {
			require.InDelta(t, place.from*twovoices.RateHz, voices[i].Start, 0.7*twovoices.RateHz, "swapped %v, turn %d", swap, i)
			require.InDelta(t, place.until*twovoices.RateHz, voices[i].End, 1.2*twovoices.RateHz, "swapped %v, turn %d", swap, i)
		}
	}
	_, err := find(twovoices.Turn{Who: nobody, Seconds: 5}, twovoices.Turn{Who: host, Seconds: 8})
	require.ErrorIs(t, err, preroll.ErrNoTurns)
}
