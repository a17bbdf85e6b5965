package presets

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is kept of an output, against one that is there now. Common practice, no
// source: a system's key follows the socket, so that a lone adapter may bear
// another one after it was plugged in elsewhere.
func TestWhichOutputItIs(t *testing.T) {
	const name, left, right = "USB Adapter", "id:pulseaudio:left", "id:pulseaudio:right"
	for what, c := range map[string]struct {
		kept, now Output
		is, mayBe bool
	}{
		"the same":                           {Output{name, left, false}, Output{name, left, false}, true, true},
		"beside another now":                 {Output{name, left, false}, Output{name, left, true}, true, true},
		"beside another then":                {Output{name, left, true}, Output{name, left, false}, true, true},
		"plugged in elsewhere":               {Output{name, left, false}, Output{name, right, false}, true, true},
		"the other, alone now":               {Output{name, left, true}, Output{name, right, false}, false, true},
		"the other of two now":               {Output{name, left, false}, Output{name, right, true}, false, false},
		"the other of two":                   {Output{name, left, true}, Output{name, right, true}, false, false},
		"kept by name alone":                 {Output{name, "", false}, Output{name, right, false}, true, true},
		"kept by name alone, one of two now": {Output{name, "", false}, Output{name, right, true}, false, true},
		"of another name":                    {Output{name, left, false}, Output{"Jack", left, false}, false, false},
		"none":                               {Output{}, Output{name, left, false}, false, false},
	} {
		t.Run(what, func(t *testing.T) {
			require.Equal(t, c.is, c.kept.Is(c.now))
			require.Equal(t, c.mayBe, c.kept.MayBe(c.now))
		})
	}
	require.Equal(t, "USB Adapter", Output{name, left, false}.Words())
	require.Equal(t, "USB Adapter (id:pulseaudio:left)", Output{name, left, true}.Words())
}
