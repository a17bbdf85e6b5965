package setup

import (
	"fmt"
	"math"
	"strconv"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/dsp/lipsync"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/widget"
)

type (
	outputsMsg struct {
		found []rig.Device
		err   error
	}
	usedMsg struct {
		place        rig.Place
		choice, name string
		err          error
	}
)

func (s *setup) findOutputs() tea.Cmd {
	return func() tea.Msg {
		found, err := s.desk.Rig.Outputs()
		return outputsMsg{found, err}
	}
}

// placeWords say what an output is for, and what to mind.
var placeWords = [...]struct{ name, help string }{
	{"Headphones", "Where you listen. They start muted and low: 0 lets them be heard; the comma turns them down, the full stop up, on every screen. " +
		"Loud sound harms hearing: go up slowly, and mind the rules of your place (WHO/ITU H.870). " +
		"Loudspeakers near an open microphone howl: a howl is muted."},
	{"Camera output", "The way to the camera's mic input: it sounds at once, at the level that was lined up. " +
		"A mic jack expects millivolts and may carry plug-in power: use a pad and a DC block or an isolating transformer as the makers advise; " +
		"when in doubt ask a qualified technician."},
}

func (s *setup) headphonesSetting() setting { return s.outputSetting(rig.Headphones) }

func (s *setup) cameraOutputSetting() setting { return s.outputSetting(rig.CameraInput) }

func (s *setup) outputSetting(place rig.Place) setting {
	words := placeWords[place]
	return setting{words.name, func() string {
		status := s.way(place)
		if !status.Open {
			return "none"
		}
		return status.Device.Name
	}, words.help, nil, func() tea.Cmd { return s.pickOutput(place) }}
}

func (s *setup) way(place rig.Place) rig.Way {
	if place == rig.Headphones {
		return s.desk.Phones
	}
	return s.desk.ToCamera
}

func (s *setup) pickOutput(place rig.Place) tea.Cmd {
	items, at := []pickItem{{name: "none"}}, 0
	status := s.way(place)
	for i, d := range s.outputs {
		items = append(items, pickItem{d.Name, d.Mark, d.Detail})
		if status.Open && status.Device.Is(d.Output()) {
			at = i + 1
		}
	}
	s.pick(placeWords[place].name, items, at, func(i int) tea.Cmd {
		if i == 0 {
			return s.use(place, "", "none")
		}
		return s.use(place, s.outputs[i-1].Choice, s.outputs[i-1].Name)
	})
	s.picking.place = &place
	return nil
}

func (s *setup) use(place rig.Place, choice, name string) tea.Cmd {
	s.busy = "Opening " + name + " …"
	return func() tea.Msg { return usedMsg{place, choice, name, s.desk.Rig.Use(place, choice)} }
}

func (s *setup) used(m usedMsg) {
	s.busy = ""
	d := s.desk
	if m.err != nil {
		d.Fail(fmt.Errorf("%s: %w; the output before stays", m.name, m.err))
		return
	}
	switch {
	case m.choice == "":
		d.Say(placeWords[m.place].name + ": none")
	case m.place == rig.Headphones:
		d.Say("Headphones: " + m.name + ", muted and low; 0 lets them be heard")
	default:
		d.Say("To the camera: " + m.name + ", sounding now")
	}
}

const frameRateName = "Frame rate"

func (s *setup) frameRateSetting() setting {
	d := s.desk
	return setting{frameRateName, func() string { return frameRateWords(d.Camera.FrameRate) }, "", s.nextFrameRate, nil}
}

// nextFrameRate goes through the usual rates; it belongs to the camera.
func (s *setup) nextFrameRate(n int) tea.Cmd {
	var ring []float64
	for _, hz := range lipsync.Rates {
		ring = append(ring, math.Round(hz*1000)/1000)
	}
	c := s.desk.Camera
	c.FrameRate = widget.Turn(ring, s.desk.FrameRate(), n)
	return s.desk.ChangeCamera(c)
}

func frameRateWords(perSecond float64) string {
	if perSecond == 0 {
		return strconv.Itoa(rig.DefaultFrameRate) + ", not told yet"
	}
	return format.FigurePlain(perSecond) + " pictures/s"
}

// lateSentence says by how much the sound comes after the picture.
func lateSentence(d *desk.Desk) string {
	const why = "The camera's pictures per second, to tell by how much the sound comes late. "
	way := d.LateWay()
	if !d.Phones.Open && !d.ToCamera.Open || way.DelayMS <= 0 {
		return why + "It is known once an output plays."
	}
	return why + "Out to " + way.Device.Name + " our " + lipsync.Words(way.DelayMS, d.FrameRate()) +
		". The sound system and the cable's far end come on top."
}
