package track

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWhoIsHeard(t *testing.T) {
	for name, want := range map[string]string{
		"processed 1 host": "host", "input 2 Anna Lee": "Anna Lee", "safety -10 dB 1 host": "host",
		"processed 1": "", "safety -10 dB 2": "", "boom": "boom", "": "",
	} {
		require.Equal(t, want, Named([]string{name}, 1)[0].Who(), name)
	}
}
