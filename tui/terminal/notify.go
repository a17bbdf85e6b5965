package terminal

import (
	"os"
	"strings"

	"rollready/dsp/plain"
)

// bell is the terminal's; what it does the user has set there.
const bell = "\a"

// Bell rings.
func (t *Terminal) Bell() { t.Out.Send(bell) }

// Notify shows a notification by the terminal itself and tells whether it is
// known to have them.
func (t *Terminal) Notify(title, text string) bool {
	seq := notification(os.Getenv, title, text)
	t.Out.Send(seq)
	return seq != ""
}

// notification is the sequence for one: OSC 9 or OSC 777, by what the
// environment says of the terminal (from memory of their manuals); "" where it
// is not known to understand it, or another stands between.
func notification(env func(string) string, title, text string) string {
	title, text = plain.Text(title), plain.Text(text)
	term := env("TERM")
	switch program := env("TERM_PROGRAM"); {
	case env("TMUX") != "" || strings.HasPrefix(term, "tmux") || strings.HasPrefix(term, "screen"):
	case program == "iTerm.app", program == "WezTerm", program == "ghostty", term == "xterm-kitty", term == "xterm-ghostty":
		return "\x1b]9;" + title + ": " + text + "\x1b\\"
	case term == "foot", strings.HasPrefix(term, "foot-"):
		return "\x1b]777;notify;" + strings.ReplaceAll(title, ";", ",") + ";" + text + "\x1b\\"
	}
	return ""
}
