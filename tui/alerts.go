package tui

import (
	"context"
	"strings"

	"rollready/capture/rig/alert"
	"rollready/dsp/verdict"
	"rollready/presets"
	"rollready/tui/desktop"
	"rollready/tui/terminal"
)

// deliver tells of an alert by the bell and by a notification: the desktop's,
// else the terminal's own.
func deliver(t *terminal.Terminal, a alert.Alert) {
	if a.Ways.Has(presets.Bell) {
		t.Bell()
	}
	if a.Ways.Has(presets.Notification) {
		title := strings.ReplaceAll(string(a.What.Code), "-", " ")
		text := a.What.Message + " " + a.What.Action
		if desktop.Notify(context.Background(), title, text, a.What.Severity == verdict.Stop) != nil {
			t.Notify(title, text)
		}
	}
}
