package main

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"rollready/capture/device"
	"rollready/capture/power"
	"rollready/capture/rig/guided"
	"rollready/presets"
	"rollready/tui"
	"rollready/tui/terminal"
)

// showMonitor shows the screens until the user quits.
func showMonitor(m *monitor, change func(input, channels string) error) error {
	t, err := terminal.Open()
	if err != nil {
		return err
	}
	m.rescue.Add(func() error { t.Restore(); return nil })
	defer m.rescue.Recover()
	line := newLine(m.system, m.sound)
	defer line.Stop()
	preset, err := m.store.Presets.Load(m.settings.Preset)
	if err != nil { // it was deleted, or can't be read: the list of presets says so
		preset = presets.Preset{}
	}
	return tui.Run(tui.Options{
		Engine:    m.session,
		Recorder:  m.deck,
		Terminal:  t,
		Go:        m.rescue.Go,
		Store:     m.store,
		Keeper:    m.keeper,
		Settings:  m.settings,
		Camera:    m.camera,
		Preset:    preset,
		Sound:     m.sound,
		Outputs:   m.outputs,
		UseOutput: m.sound.use,
		Devices:   m.devices,
		Switch:    change,
		Battery:   power.Read,
		Now:       time.Now,
		Check:     func() tui.Checker { return guided.Begin(m.session) },
		Line:      line,
		Notices:   m.notices,
	})
}

// outputs lists the outputs for the screens.
func (m *monitor) outputs() ([]tui.Device, error) {
	outputs, err := m.system.Outputs()
	var list []tui.Device
	for _, o := range outputs {
		list = append(list, tui.Device{Input: o.Key(), Name: o.Name, Detail: deviceDetail(o, outputs)})
	}
	return list, err
}

// devices lists the inputs for the screens.
func (m *monitor) devices() ([]tui.Device, error) {
	inputs, err := m.system.Inputs()
	var list []tui.Device
	for _, i := range inputs {
		list = append(list, tui.Device{Input: i.Key(), Name: i.Name, Detail: deviceDetail(i, inputs)})
	}
	return list, err
}

// deviceDetail says in a few words what a device gives, and its id where
// another has the same name.
func deviceDetail(i device.Info, all []device.Info) string {
	var words []string
	if slices.ContainsFunc(all, func(o device.Info) bool { return o.Name == i.Name && o.ID != i.ID }) {
		words = append(words, i.ID)
	}
	if i.Default {
		words = append(words, "default")
	}
	if i.Monitor {
		words = append(words, "what an output plays, no microphone")
	}
	for _, hz := range i.RatesHz {
		words = append(words, strconv.FormatFloat(float64(hz)/1000, 'f', -1, 64)+" kHz")
	}
	if i.Channels > 0 {
		words = append(words, channelCount(i.Channels)+" channels")
	}
	return strings.Join(words, ", ")
}
