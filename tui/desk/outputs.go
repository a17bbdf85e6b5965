package desk

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
)

// OutputsMsg says that outputs were looked for.
type OutputsMsg struct{ Err error }

// FindOutputs looks for the outputs that a camera may be lined up over.
func FindOutputs(r *rig.Rig) tea.Cmd {
	return func() tea.Msg { return OutputsMsg{r.LookForOutputs()} }
}
