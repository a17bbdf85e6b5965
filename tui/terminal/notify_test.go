package terminal

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Only a terminal known to show notifications is sent one, with nothing in it
// that could end it early or do something else.
func TestNotificationsByTheTerminal(t *testing.T) {
	for want, env := range map[string]map[string]string{
		"\x1b]9;a;b: c\x1b\\":         {"TERM": "xterm-kitty"},
		"\x1b]777;notify;a,b;c\x1b\\": {"TERM": "foot"},
	} {
		get := func(name string) string { return env[name] }
		require.Equal(t, want, notification(get, "a;b", "c"))
		said := notification(get, "a", "x\x1b\\\a\n\u009c\x1b]52;c;eA==\a")
		for _, r := range said[2 : len(said)-2] {
			require.True(t, r >= ' ' && r != 0x7f && (r < 0x80 || r > 0x9f), "%q", said)
		}
		env["TMUX"] = "/tmp/tmux-1/default,1,0"
		require.Empty(t, notification(get, "a", "b"))
	}
	for _, term := range []string{"", "xterm-256color", "linux", "vt220", "tmux-256color", "screen"} {
		require.Empty(t, notification(func(name string) string { return map[string]string{"TERM": term}[name] }, "a", "b"), term)
	}
}
