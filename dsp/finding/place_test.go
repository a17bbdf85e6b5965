package finding

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every action that only this program's settings carry out is done here; what
// overloads or starves the interface, at the interface.
func TestPlace(t *testing.T) {
	for _, f := range all() {
		want := OnSet
		switch f.Code {
		case InputClipped:
			want = Interface
		case DCOffset:
			want = Here
		case TooHot, TooQuiet:
			want = Here
			switch {
			case f.Channel > 0, f.Message == InterfaceHot(0, -1.5).Message:
				want = Interface
			case f.Message == RecordedQuiet(-47.3).Message:
				want = OnSet // a recording is past mending here
			}
		case Rumble:
			if f.Action[:3] == "Set" {
				want = Here
			}
		case PolarityInverted:
			if f.Severity == Stop {
				want = Interface
			}
		}
		require.Equal(t, want, f.Place(), f.Action)
	}
}
