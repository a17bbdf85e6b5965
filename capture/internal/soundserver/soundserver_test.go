package soundserver

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Addresses as PulseAudio's documentation "Server Strings" writes them.
func TestAddresses(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", "/run/user/1")
	for text, want := range map[string][][2]string{
		"":                                    {{"unix", "/run/user/1/pulse/native"}},
		"unix:/tmp/a":                         {{"unix", "/tmp/a"}},
		"/tmp/a":                              {{"unix", "/tmp/a"}},
		"{0123}unix:/tmp/a tcp:studio:4713":   {{"unix", "/tmp/a"}, {"tcp", "studio:4713"}},
		"tcp6:[::1]:4713 tcp4:127.0.0.1:4713": {{"tcp6", "[::1]:4713"}, {"tcp4", "127.0.0.1:4713"}},
	} {
		t.Setenv("PULSE_SERVER", text)
		require.Equal(t, want, addresses(), text)
	}
	t.Setenv("PULSE_SERVER", "")
	t.Setenv("XDG_RUNTIME_DIR", "")
	require.Empty(t, addresses())
}
