// Package setup is the screen of all that is set once for a place and a camera.
package setup

import (
	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// Name is the word on the tab.
const Name = "Setup"

// setup is the screen of everything that is set once for a place and camera.
type setup struct {
	desk    *desk.Desk
	rows    []setting
	list    widget.List
	picking *picking
	devices []rig.Device
	outputs []rig.Device
	cameras []string
	busy    string // what is being waited for
	table   keys.Table
	choose  keys.Table // while a list is open
}

// setting is one row: what it is, how it stands, what left, right and enter do.
type setting struct {
	name   string
	value  func() string
	help   string
	change func(n int) tea.Cmd // nil: enter only
	enter  func() tea.Cmd      // nil: like right
}

// picking is a list to choose from, opened by a setting.
type picking struct {
	title string
	list  widget.List
	items []pickItem
	take  func(i int) tea.Cmd
	place *rig.Place // that an output is picked for, nil: something else
}

type pickItem struct{ name, mark, detail string }

type (
	devicesMsg struct {
		found []rig.Device
		err   error
	}
	camerasMsg struct {
		names []string
		err   error
	}
	switchedMsg struct {
		name string
		err  error
	}
	cameraMsg struct {
		camera presets.Camera
		err    error
	}
)

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	s := &setup{desk: d}
	s.rows = s.settings()
	s.list.Resize(len(s.rows))
	s.list.Again = s.enter
	s.table, s.choose = s.keys(), s.pickKeys()
	return s
}

// Name is the word on the tab.
func (*setup) Name() string { return Name }

// Keys is the table of keys, of an open list its own.
func (s *setup) Keys() keys.Table {
	if s.picking != nil {
		return s.choose
	}
	return s.table
}

func (s *setup) keys() keys.Table {
	return keys.Table{
		s.list.Keys("choose a setting", "choose"),
		{Press: "left right", Does: "change it", Word: "change", Do: s.change},
		{Press: "enter", Does: "type it or open its list", Word: "open", Do: keys.Cmd(s.enter)},
		{Press: "r", Does: "look for inputs and outputs again", Word: "look again", Do: keys.Cmd(s.look)},
		{Shown: "mouse", Does: "press to choose, press again to open"},
	}
}

func (s *setup) pickKeys() keys.Table {
	leave := keys.Then(func() { s.picking = nil })
	choose := (&widget.List{}).Keys("choose", "choose")
	choose.Do = func(key string) tea.Cmd { return s.picking.list.Keys("", "").Do(key) }
	return keys.Table{
		choose,
		{Press: "enter right", Does: "take it", Word: "take", Do: keys.Cmd(s.takePicked)},
		{Press: "esc left", Does: "leave the list", Word: "back", Do: leave},
		{Press: "r", Does: "look for inputs and outputs again", Word: "look again", Do: keys.Cmd(s.look)},
	}
}

// Open looks for inputs and cameras.
func (s *setup) Open() tea.Cmd {
	s.picking = nil
	return tea.Batch(s.findDevices(), s.findOutputs(), s.findCameras())
}

func (s *setup) findDevices() tea.Cmd {
	return func() tea.Msg {
		found, err := s.desk.Rig.Inputs()
		return devicesMsg{found, err}
	}
}

func (s *setup) findCameras() tea.Cmd {
	return func() tea.Msg {
		names, err := s.desk.Rig.Store().Cameras.List()
		return camerasMsg{names, err}
	}
}

// Update takes what was found.
func (s *setup) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case devicesMsg:
		s.devices = m.found
		s.desk.Fail(m.err)
		if s.picking != nil && s.picking.title == inputsTitle {
			return s.pickInput()
		}
	case outputsMsg:
		s.outputs = m.found
		s.desk.Fail(m.err)
		if s.picking != nil && s.picking.place != nil {
			return s.pickOutput(*s.picking.place)
		}
	case usedMsg:
		s.used(m)
	case camerasMsg:
		s.cameras = m.names
		s.desk.Fail(m.err)
	case switchedMsg:
		s.switched(m)
	case cameraMsg:
		if m.err != nil {
			s.desk.Fail(m.err)
			break
		}
		s.desk.SetCamera(m.camera)
		s.desk.Say("Camera: " + m.camera.Name)
	case recordingMsg:
		return s.recorded(m)
	case desk.CameraSavedMsg:
		s.desk.Fail(m.Err)
	}
	return nil
}

func (s *setup) look() tea.Cmd {
	s.desk.Say("Looking for inputs and outputs")
	return tea.Batch(s.findDevices(), s.findOutputs())
}

// change goes one on in a setting's values; one without opens its list.
func (s *setup) change(key string) tea.Cmd {
	row := s.rows[s.list.At]
	switch {
	case row.change != nil:
		return row.change(map[string]int{"left": -1, "right": 1}[key])
	case key == "right":
		return s.enter()
	}
	return nil
}

func (s *setup) enter() tea.Cmd {
	row := s.rows[s.list.At]
	if row.enter != nil {
		return row.enter()
	}
	return row.change(1)
}

func (s *setup) takePicked() tea.Cmd {
	p := s.picking
	s.picking = nil
	if p == nil || p.list.At >= len(p.items) {
		return nil
	}
	return p.take(p.list.At)
}

func (s *setup) pick(title string, items []pickItem, at int, take func(i int) tea.Cmd) {
	s.picking = &picking{title: title, items: items, take: take}
	s.picking.list.Resize(len(items))
	s.picking.list.Move(max(at, 0))
	s.picking.list.Again = s.takePicked
}
