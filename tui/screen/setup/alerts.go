package setup

import (
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/widget"
)

// alertWords name each kind of alert, and say what it is about.
var alertWords = [presets.AlertKinds]struct{ name, help string }{
	presets.AlertTakeStopped: {"Alert: stopped", "a take that ended by a fault"},
	presets.AlertInputLost:   {"Alert: input", "an input that is away"},
	presets.AlertClipped:     {"Alert: clipping", "an overload at the input or behind the chain"},
	presets.AlertSilence:     {"Alert: silence", "a take that hears nothing for as long as the silence alarm says"},
	presets.AlertRunningLow:  {"Alert: low", "battery or disk running low"},
	presets.AlertCameraLost:  {"Alert: camera", "a camera's output that is away or muted"},
}

const alertHelp = ". Bell: the terminal's. Notice: the desktop's over D-Bus, or the terminal's own where it is known to have one; " +
	"Windows and macOS have only the latter. Earcon: a soft sound in the headphones, at their level, never to camera or take; " +
	"none while they are muted, or where the camera has the same output. Of one kind at most one in 10 s."

// wayWords are the ways together, in the order in which they are gone through.
var wayWords = [...]string{"bell", "notice", "earcon"}

var wayRing = []presets.AlertWays{0, presets.Notification, presets.Bell, presets.Earcon, presets.Bell | presets.Notification,
	presets.Notification | presets.Earcon, presets.Bell | presets.Earcon, presets.Bell | presets.Notification | presets.Earcon}

func waysText(ways presets.AlertWays) string {
	var words []string
	for i, word := range wayWords {
		if ways.Has(1 << i) {
			words = append(words, word)
		}
	}
	if words == nil {
		return "none"
	}
	return strings.Join(words, ", ")
}

// alertSettings lists the rows about what is told to somebody who looks
// elsewhere.
func (s *setup) alertSettings() (rows []setting) {
	d := s.desk
	for kind, words := range alertWords {
		rows = append(rows, setting{words.name, func() string { return waysText(d.Settings.Alerts[kind]) },
			"How you are told, while you look elsewhere, of " + words.help + alertHelp,
			func(n int) tea.Cmd {
				d.Change(func(s *presets.Settings) { s.Alerts[kind] = widget.Turn(wayRing, s.Alerts[kind], n) })
				return nil
			}, nil})
	}
	return rows
}
