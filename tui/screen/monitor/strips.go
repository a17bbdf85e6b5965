package monitor

import (
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/strips"
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// stripKeys are for several microphones.
func (m *monitor) stripKeys() keys.Table {
	return keys.Table{
		{Press: "n", Does: "next microphone: controls and bands are its", Do: keys.Then(m.desk.NextStrip)},
		{Press: "k", Does: "microphones: one set of controls for all, or one each", Do: keys.Then(m.link)},
		{Press: "u", Does: "headphones: the chosen microphone alone, or all; off when a take rolls", Do: keys.Then(m.solo)},
		{Press: "p", Does: "polarity of the chosen microphone", Do: keys.Then(func() { m.turn(func(s *strips.Strip) { s.Inverted = !s.Inverted }) })},
		{Press: "x", Does: "mute the chosen microphone", Do: keys.Then(func() { m.turn(func(s *strips.Strip) { s.Muted = !s.Muted }) })},
		{Press: "y", Does: "name of who speaks into it", Do: keys.Cmd(m.name)},
		{Press: "d", Does: "difference between two people's microphones: level, spill, comb filter, polarity", Do: keys.Then(func() { m.desk.Say(m.desk.BetweenWords()) })},
		{Press: "v", Does: "to the camera: one person per channel, everybody on both, or the second channel 10 dB lower", Do: keys.Then(m.route)},
	}
}

func (m *monitor) link() {
	d := m.desk
	changed, err := d.Rig.ToggleLink()
	d.Refresh()
	switch {
	case err != nil:
		d.Fail(err)
	case d.Settings.Strips.Unlinked:
		d.Say("Each microphone has its own controls now: n goes to the next")
	case len(changed) > 0:
		d.Say("Linked: " + strings.Join(changed, ", "))
	default:
		d.Say("Linked: one set of controls for all")
	}
}

func (m *monitor) solo() {
	d := m.desk
	strip, err := d.Rig.ToggleSolo()
	d.Refresh()
	switch {
	case err != nil:
		d.Fail(err)
	case strip > 0:
		d.Say("In the headphones: " + m.desk.Called() + " alone; u: all again")
	default:
		d.Say("In the headphones: all again")
	}
}

// turn changes the chosen microphone; linked ones all.
func (m *monitor) turn(change func(*strips.Strip)) {
	d := m.desk
	s := d.Settings.Strips
	for i := range s.Strips {
		if !s.Unlinked || i == d.Settings.Strip {
			change(&s.Strips[i])
		}
	}
	if err := d.SetStrips(s); err != nil {
		d.Fail(err)
		return
	}
	who, now := m.desk.Called(), s.Strips[d.Settings.Strip]
	if !s.Unlinked {
		who = "all microphones"
	}
	words := "polarity as it comes"
	if now.Inverted {
		words = "polarity inverted"
	}
	if now.Muted {
		words += ", muted"
	}
	d.Say(who + ": " + words)
}

func (m *monitor) name() tea.Cmd {
	d := m.desk
	strip := d.Settings.Strip
	return d.Ask("Who speaks into "+m.desk.Called()+":", d.Settings.Strips.Strips[strip].Name, func(name string) (tea.Cmd, error) {
		if err := strips.CheckName(name); err != nil {
			return nil, err
		}
		s := d.Settings.Strips
		s.Strips[strip].Name = name
		return nil, d.SetStrips(s)
	})
}

func (m *monitor) route() {
	d := m.desk
	s := d.Settings.Strips.Fit(d.Status.Picked.Count)
	ring := []strips.Layout{strips.Together, strips.Safety}
	if s.Count > 1 {
		ring = strips.Layouts[:]
	}
	s.Route = widget.Turn(ring, s.Layout(), 1)
	if err := d.SetStrips(s.Fit(0)); err != nil {
		d.Fail(err)
		return
	}
	d.Say("To the camera: " + s.Route.Does())
}
