package tui

import (
	"strconv"
	"strings"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"

	"rollready/tui/keys"
	"rollready/tui/theme"
)

// above lists the keys that are answered also while a field is open: none that
// is typed into one, or that a torn report of the mouse could be.
func (r *root) above() keys.Table {
	d := r.desk
	return keys.Table{
		{Press: "ctrl+r", Does: "roll a take, or call its countdown off; again: stop it, asked once more", Now: func() string {
			if d.Rec.Rolling {
				return ""
			}
			return "roll"
		}, Do: keys.Cmd(d.RollOrStop)},
		{Press: "ctrl+t", Does: "while rolling: slate tone to file and camera", Do: keys.Then(d.Slate)},
		{Press: "ctrl+o", Does: "room tone, 30 s", Do: keys.Cmd(d.RollRoomTone)},
		{Press: "ctrl+g", Does: "while rolling: unlock gain and filters, or lock them", Do: keys.Then(d.Unlock)},
		{Press: "ctrl+z", Does: "suspend; fg comes back", Do: keys.Cmd(r.suspend)},
		{Press: "ctrl+l", Does: "draw everything again", Do: keys.Then(r.opt.Terminal.Out.Redraw)},
		{Press: "ctrl+c", Does: "quit, also from a field; settings are kept", Do: d.Quit},
	}
}

// everywhere lists the keys that mean the same on every screen.
func (r *root) everywhere() keys.Table {
	d := r.desk
	var digits, names []string
	for i, s := range r.all {
		digits = append(digits, strconv.Itoa(i+1))
		names = append(names, strconv.Itoa(i+1)+" "+s.Name())
	}
	return keys.Table{
		{Press: "?", Does: "these keys", Word: "keys", Do: keys.Then(r.openHelp)},
		{Press: strings.Join(digits, " "), Shown: "1 to " + digits[len(digits)-1], Does: strings.Join(names, ", "),
			Do: func(key string) tea.Cmd { return r.turn(int(key[0] - '1')) }},
		{Press: "tab", Does: "the next screen", Do: keys.Cmd(func() tea.Cmd { return r.turn((r.open + 1) % len(r.all)) })},
		{Press: "shift+tab", Does: "the screen before", Do: keys.Cmd(func() tea.Cmd { return r.turn((r.open + len(r.all) - 1) % len(r.all)) })},
		{Press: "z", Does: "far view, to be read at 5 m; any key leads back", Do: keys.Then(r.openFar)},
		{Press: "m", Does: "while rolling: marker here, with a word", Do: keys.Cmd(d.Marker)},
		{Press: "0", Does: "headphones: mute, or let them be heard", Do: keys.Then(d.ToggleMute)},
		{Press: ",", Does: "headphones: softer by 2 dB", Do: keys.Then(func() { d.StepLevel(-1) })},
		{Press: ".", Does: "headphones: louder by 2 dB", Do: keys.Then(func() { d.StepLevel(1) })},
		{Press: "t", Does: "theme: night, day, mono", Word: "theme", Do: keys.Then(r.nextTheme)},
		{Press: "q", Does: "quit; settings are kept", Word: "quit", Do: d.Quit},
	}
}

func (r *root) nextTheme() {
	if r.profile <= colorprofile.ASCII {
		r.desk.Say("No colour here (NO_COLOR or the terminal): mono stays")
		return
	}
	r.desk.SetTheme(theme.Next(r.frame.Name))
}
