package terminal

import (
	"testing"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"
)

// TestColorsByTheEnvironment: nobody is asked.
func TestColorsByTheEnvironment(t *testing.T) {
	for _, c := range []struct {
		term, color, no string
		want            colorprofile.Profile
	}{
		{"xterm-256color", "truecolor", "", colorprofile.TrueColor},
		{"xterm-256color", "", "", colorprofile.ANSI256},
		{"tmux-256color", "truecolor", "", colorprofile.TrueColor},
		{"screen-256color", "truecolor", "", colorprofile.ANSI256},
		{"xterm-256color", "truecolor", "yes", colorprofile.ASCII},
		{"dumb", "", "", colorprofile.NoTTY},
	} {
		for name, value := range map[string]string{"TERM": c.term, "COLORTERM": c.color, "NO_COLOR": c.no,
			"CLICOLOR": "", "CLICOLOR_FORCE": "", "WT_SESSION": "", "GOOGLE_CLOUD_SHELL": ""} {
			t.Setenv(name, value)
		}
		require.Equal(t, c.want, Colors(), "%+v", c)
	}
}
