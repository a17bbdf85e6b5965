package verdict

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestEveryCodeIsToldFromAfar: one word and one sentence, of every code and of
// every finding in whatever place.
func TestEveryCodeIsToldFromAfar(t *testing.T) {
	require.Len(t, fromAfar, len(codes))
	list := all()
	for _, c := range codes {
		list = append(list, Finding{Code: c, Severity: Caution})
	}
	for _, f := range list {
		require.Regexp(t, `^[A-Z ]{3,6}$`, f.Word(), f.Code)
		require.Regexp(t, `^[A-Z]\S* ?`, f.Brief(), f.Code)
		require.LessOrEqual(t, len(strings.Fields(f.Brief())), 6, f.Brief())
		require.LessOrEqual(t, len(f.Brief()), 18, f.Brief())
	}
	for f, want := range map[*Finding]string{
		ref(LowerGain(Stop, 4)): "OVER Turn gain down", ref(LowerGain(Caution, 4)): "HOT Turn gain down",
		ref(LowerCamera(Caution, 4)): "HOT Camera level down", ref(RaisePreamp(-30, 9)): "LOW Turn preamp up",
		ref(RaiseCamera(4)): "LOW Camera level up", ref(Clipped(On(1), 3)): "OVER Turn preamp down",
		ref(BentOver(Where{})): "HOT Turn mic down", ref(Wind(3, 80)): "RUMBLE Use the high-pass", ref(Safe()): "SAFE Safe to roll",
	} {
		require.Equal(t, want, f.Word()+" "+f.Brief())
	}
}

func ref(f Finding) *Finding { return &f }
