package terminal

import (
	"testing"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"
)

// TestASCIIAloneByTheEnvironment: POSIX has LC_ALL before LC_CTYPE before LANG.
func TestASCIIAloneByTheEnvironment(t *testing.T) {
	for _, c := range []struct {
		system, term, all, ctype, lang string
		want                           bool
	}{
		{"linux", "xterm-256color", "", "", "en_GB.UTF-8", false},
		{"linux", "xterm-256color", "", "", "C.utf8", false},
		{"linux", "xterm-256color", "", "", "", false},
		{"linux", "xterm-256color", "", "", "C", true},
		{"linux", "xterm-256color", "", "", "de_DE.ISO-8859-1", true},
		{"linux", "xterm-256color", "POSIX", "C.UTF-8", "C.UTF-8", true},
		{"linux", "xterm-256color", "", "C.UTF-8", "C", false},
		{"linux", "linux", "", "", "C.UTF-8", true},
		{"darwin", "vt100", "", "", "C.UTF-8", true},
		{"windows", "", "", "", "C", false},
	} {
		env := map[string]string{"TERM": c.term, "LC_ALL": c.all, "LC_CTYPE": c.ctype, "LANG": c.lang}
		require.Equal(t, c.want, asciiAlone(c.system, func(name string) string { return env[name] }), "%+v", c)
	}
}

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
