package lineup

import (
	"errors"
	"math"
	"path/filepath"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/tui/format"
)

// toggle switches the tone on or off. It asks before the first one over an
// output: it is heard by whoever is there.
func (l *lineUp) toggle() tea.Cmd {
	switch l.now().Sounds {
	case rig.ToneSounds:
		return l.stop()
	case rig.SequenceSounds:
		l.desk.Say("The sequence sounds: s stops it")
		return nil
	}
	to := l.now().Chosen
	begin := func() tea.Cmd {
		l.agreed = to.Choice
		return l.begin(l.desk.Rig.StartTone)
	}
	if l.busy != "" || len(l.now().Outputs) == 0 || l.agreed == to.Choice {
		return begin()
	}
	return l.desk.Confirm("space", "Headphones off? "+format.Figure(l.now().Tone.LevelDBFS)+" dBFS to "+to.Called(), "starts it", begin)
}

// send sends the sequence, or stops it.
func (l *lineUp) send() tea.Cmd {
	switch l.now().Sounds {
	case rig.SequenceSounds:
		l.desk.Say("Stopped: what the camera recorded can't be used")
		return l.stop()
	case rig.ToneSounds:
		l.desk.Say("The tone sounds: space switches it off")
		return nil
	}
	if l.busy != "" || len(l.now().Outputs) == 0 {
		return l.begin(l.desk.Rig.SendSequence)
	}
	return l.desk.Confirm("s", "Headphones off? Up to −1 dBFS to "+l.now().Chosen.Called(), "sends it",
		func() tea.Cmd { return l.begin(l.desk.Rig.SendSequence) })
}

// begin opens the output off the program's goroutine.
func (l *lineUp) begin(sound func() error) tea.Cmd {
	switch {
	case l.busy != "":
		return nil
	case len(l.now().Outputs) == 0:
		l.desk.Fail(rig.ErrNoOutput)
		return nil
	}
	l.busy = "Opening " + l.now().Chosen.Called() + " …"
	return func() tea.Msg { return lineMsg{sound()} }
}

// askReading takes what the camera's meter reads, and keeps the offset.
func (l *lineUp) askReading() tea.Cmd {
	if err := l.desk.Rig.Risen(); err != nil {
		l.desk.Fail(err)
		return nil
	}
	sent := l.now().Tone.LevelDBFS
	return l.desk.Ask("Tone of "+format.Figure(sent)+" dBFS: the camera's meter reads, in dBFS:", "", func(text string) (tea.Cmd, error) {
		v, ok := format.ParseNumber(text)
		if !ok {
			v = math.NaN()
		}
		offset, err := l.desk.Rig.KeepReading(sent, v)
		if err != nil {
			return nil, errors.New("type the reading with its minus, like −14")
		}
		l.desk.Refresh()
		l.desk.Say("Kept: the camera reads our output " + format.Signed(offset) + " dB; u undoes it")
		return tea.Batch(l.desk.SaveCamera, l.askMicLevel()), nil
	})
}

// clipMark keeps where the camera's clip mark lights.
func (l *lineUp) clipMark() tea.Cmd {
	at, err := l.desk.Rig.KeepClipMark()
	l.desk.Refresh()
	if err != nil {
		l.desk.Fail(err)
		return nil
	}
	l.desk.Say("Kept: the camera clips at " + format.Figure(at) + " dBFS on its meter; u undoes it")
	return l.desk.SaveCamera
}

func (l *lineUp) undo() tea.Cmd {
	err := l.desk.Rig.UndoLineUp()
	l.desk.Refresh()
	if err != nil {
		l.desk.Fail(err)
		return nil
	}
	l.result = nil
	l.desk.Say("The camera's profile is as it was before")
	return l.desk.SaveCamera
}

func (l *lineUp) askMicLevel() tea.Cmd {
	return l.desk.Ask("Mic level on the camera now, as its menu words it:", l.desk.Camera.MicLevel, func(text string) (tea.Cmd, error) {
		c := l.desk.Camera
		c.MicLevel = text
		return l.desk.ChangeCamera(c), nil
	})
}

func (l *lineUp) askClip() tea.Cmd {
	if l.busy != "" {
		return nil
	}
	return l.desk.Ask("Path of the camera's clip:", "", func(text string) (tea.Cmd, error) {
		path := format.HomePath(text)
		if path == "" {
			return nil, errors.New("type the path of a file")
		}
		l.busy = "Reading " + filepath.Base(path) + " …"
		return func() tea.Msg {
			r, known, err := l.desk.Rig.ReadClip(path)
			return clipMsg{r, known, err}
		}, nil
	})
}

// measured shows a clip's result, and tells whether it was kept.
func (l *lineUp) measured(m clipMsg) tea.Cmd {
	l.busy = ""
	if m.err == nil || errors.Is(m.err, rig.ErrAutomaticLevel) {
		l.result, l.clip.Top = &m.result, 0
	}
	if m.err != nil {
		l.desk.Fail(m.err)
		return nil
	}
	said := ""
	if !m.known {
		said = "; the output's volume then is unknown"
	}
	l.desk.Say("Kept in the profile of " + l.desk.Camera.Name + said + "; u undoes it")
	return l.desk.SaveCamera
}

// offerFeed asks, once for an output that was lined up, whether the camera is
// to be fed over it.
func (l *lineUp) offerFeed() tea.Cmd {
	to, ok := l.desk.Rig.OfferFeed()
	if !ok {
		return nil
	}
	return l.desk.Confirm("", "Feed the camera over "+to.Called()+" from now on?", "does, at once", func() tea.Cmd {
		return func() tea.Msg { return fedMsg{to.Name, l.desk.Rig.Use(rig.CameraInput, to.Choice)} }
	})
}

func (l *lineUp) fed(m fedMsg) {
	l.desk.Say("To the camera: " + m.name + ", sounding now")
	l.desk.Fail(m.err)
}

func (l *lineUp) volumeHelp() tea.Cmd {
	l.desk.Say("Set it in the system before you read the tone: the line-up holds for it")
	return nil
}
