package tui

import (
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/tui/widget"
)

// overlaid answers the mouse while a field or the key help lies on top.
func (r *root) overlaid(m tea.MouseMsg) {
	switch m := m.(type) {
	case tea.MouseWheelMsg:
		if r.help {
			r.lines.Wheel(widget.Wheel(m))
		}
	case tea.MouseClickMsg:
		if r.far {
			r.far, r.stale = false, true
		} else if r.help && m.Button == tea.MouseLeft {
			r.turnHelp()
		}
	}
	r.stale = r.stale || r.help
}

// key answers the keys that mean the same everywhere, and passes on the rest.
func (r *root) key(m tea.KeyPressMsg) tea.Cmd {
	r.touched = r.desk.At
	if r.far { // leads back, and does nothing else
		r.far = false
		return nil
	}
	if m.Mod.Contains(tea.ModAlt) { // Escape and a key that arrived together
		m.Mod &^= tea.ModAlt
		if m.Mod == 0 && m.Text == "" && m.Code < tea.KeyExtended {
			m.Text = string(m.Code)
		}
		return tea.Sequence(r.guard(r.key(tea.KeyPressMsg{Code: tea.KeyEscape})), r.guard(r.key(m)))
	}
	key := m.String()
	if r.desk.Question != nil {
		return r.desk.Answer(key)
	}
	if cmd, done := r.tables[0].Do(key); done {
		return cmd
	}
	if r.desk.Prompt != nil {
		p := r.desk.Prompt
		cmd, done := p.Key(m)
		if done && r.desk.Prompt == p {
			r.desk.Prompt = nil
		}
		return cmd
	}
	return r.command(m)
}

func (r *root) suspend() tea.Cmd {
	if r.desk.Rec.Rolling {
		r.desk.Say("A take is rolling: suspending would stop it")
		return nil
	}
	r.opt.Terminal.Leave()
	return tea.Suspend
}

func (r *root) openHelp() { r.help, r.lines.Top, r.stale = true, 0, true }

// helpKey goes over the key help, or leaves it.
func (r *root) helpKey(key string) {
	moves := strings.Contains(" up down pgup pgdown home end ", " "+key+" ")
	if moves && (r.lines.Above() || r.lines.Below()) {
		r.lines.Key(key)
		return
	}
	r.turnHelp()
}

// turnHelp goes on in the key help, or from its end back to the screen.
func (r *root) turnHelp() {
	r.help, r.stale = r.lines.Below(), true
	r.lines.Key("pgdown")
}

func (r *root) command(m tea.KeyPressMsg) tea.Cmd {
	if r.help {
		r.helpKey(m.String())
		return nil
	}
	key := m.String()
	if key == "esc" { // from what is over all, inwards
		r.desk.Rig.SeenFailure()
		back := r.desk.Back()
		cmd, _ := r.all[r.open].Keys().Do(key)
		return tea.Batch(back, cmd)
	}
	if cmd, done := r.tables[1].Do(key); done {
		return cmd
	}
	cmd, _ := r.all[r.open].Keys().Do(key)
	return cmd
}

func (r *root) openFar() { r.far = true }

// farAfter is for how long nobody presses a key before the far view comes by
// itself.
const farAfter = 20 * time.Second

// wait brings the far view some time after the last key, while a take rolls, if
// that is set and nothing is asked; and with a countdown.
func (r *root) wait() {
	r.far = r.far || r.desk.Count.On && !r.counts
	r.counts = r.desk.Count.On
	if r.desk.Settings.FarView && r.desk.Rec.Rolling && r.desk.At.Sub(r.touched) >= farAfter && !r.help && r.desk.Prompt == nil && r.desk.Question == nil {
		r.far = true
	}
}
