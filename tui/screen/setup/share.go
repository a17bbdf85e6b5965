package setup

import (
	"net"

	tea "charm.land/bubbletea/v2"

	"rollready/presets"
	"rollready/tui/format"
	"rollready/tui/widget"
)

const sharedName = "Shared at"

// shareSettings lists the rows about viewers over SSH.
func (s *setup) shareSettings() []setting {
	d := s.desk
	may := map[string]string{presets.ViewersLook: "look", presets.ViewersMark: "mark", presets.ViewersRoll: "mark, roll and stop"}
	return []setting{
		{sharedName, func() string {
			if d.Shared == nil {
				return "not shared"
			}
			return d.Shared.Address() + ", " + format.Plural(int64(d.Shared.Viewers()), "viewer")
		}, "", nil, func() tea.Cmd { return nil }},
		{"Viewers may", func() string { return may[d.Settings.Viewers] },
			"What those may who look over SSH. Whoever may roll can also stop a take: ctrl-r, and once more.",
			func(n int) tea.Cmd {
				d.Change(func(s *presets.Settings) { s.Viewers = widget.Turn(presets.Viewers[:], s.Viewers, n) })
				return nil
			}, nil},
	}
}

func (s *setup) sharedHelp() string {
	on := s.desk.Shared
	if on == nil {
		return "Monitor and far view for a phone or tablet, over SSH. Start with rollready --share ADDRESS, the laptop's own in a network you trust; " +
			"off unless given. Only public keys that you list may look."
	}
	host, port, _ := net.SplitHostPort(on.Address())
	return "On the phone: ssh -p " + port + " " + host + ". The host key must be " + on.Fingerprint() + ". Who may look stands in " + on.Keys() + "."
}
