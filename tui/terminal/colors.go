package terminal

import (
	"os"
	"strings"

	"github.com/charmbracelet/colorprofile"
)

// Colors is what the terminal can show, by its environment: it is not asked.
// NO_COLOR has the last word (https://no-color.org).
func Colors() colorprofile.Profile {
	p := colorprofile.Env(os.Environ())
	switch {
	case os.Getenv("NO_COLOR") != "":
		return colorprofile.ASCII
	case p == colorprofile.ANSI256 && strings.HasPrefix(os.Getenv("TERM"), "tmux") && os.Getenv("COLORTERM") == "truecolor":
		return colorprofile.TrueColor // it takes them all, and shows what the terminal around it can
	}
	return p
}
