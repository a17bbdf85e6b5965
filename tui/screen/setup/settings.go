package setup

import (
	"errors"
	"slices"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/dsp"
	"rollready/presets"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// settings lists the rows in their order.
func (s *setup) settings() []setting {
	d := s.desk
	reads := func(change func(v *dsp.View, n int)) func(int) tea.Cmd {
		return func(n int) tea.Cmd {
			v := d.Settings.View
			change(&v, n)
			d.SetView(v)
			return nil
		}
	}
	return append([]setting{
		{"Input", func() string { return d.Status.Called() }, "Where the sound comes from. Enter shows what is connected.", nil, s.pickInput},
		{"Channels", func() string { return view.ChannelWords(d) }, "Which channels of the input are used: one, a pair, or the mean of all. Enter types them: up to four, like 2+7.", s.nextChannels, s.askChannels},
		s.headphonesSetting(),
		s.cameraOutputSetting(),
		{"Camera", func() string { return d.Camera.Name }, "The camera profile: scale, target window and reminder card.", nil, s.pickCamera},
		s.frameRateSetting(),
		{"Target window", func() string {
			return format.Figure(d.Camera.Scale.TargetLowDBFS) + " … " + format.Figure(d.Camera.Scale.TargetHighDBFS) + " dBFS"
		}, "Where speech peaks should sit on the camera's meter.", nil, func() tea.Cmd { return view.AskTarget(d) }},
		{"Line-up offset", func() string { return format.Signed(d.Camera.Scale.OffsetDB) + " dB" },
			"What the camera's meter reads above (+) or below (−) our output for the same tone.", nil, s.askOffset},
		{"Camera clips at", func() string { return format.Figure(d.Camera.Scale.ClipDBFS) + " dBFS" },
			"The level on the camera's meter at which it clips: 0 unless line-up found it lower.", nil, s.askClip},
		{"Ballistics", func() string { return view.BallisticWords[d.Settings.View.Ballistics].Full },
			"How the level bars move: digital peak (IEC 60268-18), quasi-peak type I or II (IEC 60268-10) or VU (IEC 60268-17). Headroom and zones follow the true peak whatever is chosen. The key b changes it in the monitor.",
			reads(func(v *dsp.View, n int) { v.Ballistics = widget.Turn(view.Ballistics[:], v.Ballistics, n) }), nil},
		{"Peak hold", func() string { return strings.TrimPrefix(view.HoldWords(d.Settings.View.HoldSeconds), "hold ") },
			"How long the highest peak stays marked.",
			reads(func(v *dsp.View, n int) { v.HoldSeconds = view.HoldTime(v.HoldSeconds, n) }), nil},
		{"Bands at", func() string { return string(d.Settings.View.BandTap) },
			"Bands of what the interface delivers, or of what leaves the chain.",
			reads(func(v *dsp.View, _ int) { v.BandTap = widget.Other(v.BandTap, dsp.TapOutput, dsp.TapInput) }), nil},
		{"Band speed", func() string { return string(d.Settings.View.BandTime) },
			"Fast is 125 ms, slow is 1 s, after IEC 61672-1.",
			reads(func(v *dsp.View, _ int) { v.BandTime = widget.Other(v.BandTime, dsp.Fast, dsp.Slow) }), nil},
		{"Theme", func() string { return d.Settings.Theme }, "Night, day for sunlight, or mono without colour. The key t changes it anywhere.",
			func(n int) tea.Cmd { d.SetTheme(widget.Turn(theme.Names[:], d.Settings.Theme, n)); return nil }, nil},
		{"Far view", func() string {
			return map[bool]string{true: "by itself", false: "by its key"}[d.Settings.FarView]
		}, "Large enough for 5 m; z opens it anywhere. By itself: it comes while a take rolls and no key was pressed for 20 s. Any key leads back and does nothing else.",
			func(int) tea.Cmd { d.Change(func(s *presets.Settings) { s.FarView = !s.FarView }); return nil }, nil},
	}, slices.Concat(s.takeSettings(), s.alertSettings(), s.shareSettings())...)
}

const inputsTitle = "Inputs"

func (s *setup) pickInput() tea.Cmd {
	var items []pickItem
	at := -1
	for i, d := range s.devices {
		items = append(items, pickItem{d.Name, d.Mark, d.Detail})
		if d.Choice == s.desk.Status.Key {
			at = i
		}
	}
	items = append(items, pickItem{"demo scene", "", "a built-in voice with wind, hum and overloads"})
	s.pick(inputsTitle, items, at, func(i int) tea.Cmd {
		if i == len(s.devices) {
			return s.switchTo("demo", "demo scene", string(capture.Auto))
		}
		return s.switchTo(s.devices[i].Choice, s.devices[i].Name, string(capture.Auto))
	})
	return nil
}

func (s *setup) switchTo(input, name, channels string) tea.Cmd {
	if s.desk.Rec.Rolling {
		s.desk.Say("A take is rolling from this input: stop it first (ctrl-r)")
		return nil
	}
	s.busy = "Opening " + name + " …"
	return func() tea.Msg { return switchedMsg{name, s.desk.Rig.Switch(input, name, channels)} }
}

func (s *setup) switched(m switchedMsg) {
	s.busy = ""
	if m.err != nil {
		s.desk.Fail(m.err)
		return
	}
	s.desk.Say("Input: " + m.name)
}

// nextChannels goes through what this input can give.
func (s *setup) nextChannels(n int) tea.Cmd {
	picks := []string{"1"}
	for c := 2; c <= min(s.desk.Status.Channels, 8); c++ {
		picks = append(picks, format.FigureInt(c))
	}
	if s.desk.Status.Channels > 1 {
		picks = append(picks, string(capture.Stereo), string(capture.Mix))
	}
	set := s.desk.Settings
	return s.switchTo(set.Input, s.desk.Status.Source, widget.Turn(picks, view.ChannelWords(s.desk), n))
}

// askChannels takes any channels of the input.
func (s *setup) askChannels() tea.Cmd {
	return s.desk.Ask("Channels, like 1, 2+7, 1+2+3+4 or mix:", view.ChannelWords(s.desk), func(text string) (tea.Cmd, error) {
		pick, err := capture.ParsePick(text)
		if err != nil {
			return nil, err
		}
		return s.switchTo(s.desk.Settings.Input, s.desk.Status.Source, string(pick)), nil
	})
}

func (s *setup) pickCamera() tea.Cmd {
	var items []pickItem
	for _, name := range s.cameras {
		items = append(items, pickItem{name, "", ""})
	}
	s.pick("Camera profiles", items, slices.Index(s.cameras, s.desk.Camera.Name), func(i int) tea.Cmd {
		name, store := s.cameras[i], s.desk.Rig.Store().Cameras
		return func() tea.Msg {
			c, err := store.Load(name)
			return cameraMsg{c, err}
		}
	})
	return nil
}

func (s *setup) askOffset() tea.Cmd {
	return s.askScale("Camera reading minus our output in dB:", s.desk.Camera.Scale.OffsetDB, rig.SetOffset)
}

func (s *setup) askClip() tea.Cmd {
	return s.askScale("The camera clips at, in dBFS on its own meter:", s.desk.Camera.Scale.ClipDBFS, rig.SetClip)
}

func (s *setup) askScale(label string, now float64, set func(*presets.Camera, float64) error) tea.Cmd {
	return s.desk.Ask(label, format.Figure(now), func(text string) (tea.Cmd, error) {
		v, ok := format.ParseNumber(text)
		if !ok {
			return nil, errors.New("type a level like −3.5")
		}
		c := s.desk.Camera
		if err := set(&c, v); err != nil {
			return nil, err
		}
		return s.desk.ChangeCamera(c), nil
	})
}
