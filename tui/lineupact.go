package tui

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/dsp/lineup"
	"rollready/presets"
)

// toggle switches the tone on or off.
func (l *lineUp) toggle() tea.Cmd {
	switch l.line.State().Sounds {
	case ToneSounds:
		return l.stop()
	case SequenceSounds:
		l.desk.Say("The sequence sounds: s stops it")
		return nil
	}
	return l.begin(func(output string) error { return l.line.Tone(output, l.tone) })
}

// send sends the sequence, or stops it.
func (l *lineUp) send() tea.Cmd {
	switch l.line.State().Sounds {
	case SequenceSounds:
		l.desk.Say("Stopped: what the camera recorded can't be used")
		return l.stop()
	case ToneSounds:
		l.desk.Say("The tone sounds: space switches it off")
		return nil
	}
	return l.begin(l.line.Sequence)
}

// begin opens the output off the program's goroutine.
func (l *lineUp) begin(sound func(output string) error) tea.Cmd {
	if l.busy != "" {
		return nil
	}
	if len(l.outputs) == 0 {
		l.desk.Fail(errNoOutput)
		return nil
	}
	l.busy = "Opening " + l.output().Name + " …"
	choice := l.output().Choice
	return func() tea.Msg { return lineMsg{sound(choice)} }
}

// risen tells that the tone stands at its level, and says what to do if not.
func (l *lineUp) risen() bool {
	s := l.line.State()
	switch {
	case s.Sounds != ToneSounds:
		l.desk.Say("Switch the tone on first: space")
	case s.LevelDBFS != l.tone.LevelDBFS:
		l.desk.Say("The tone still rises: wait until it stands at its level")
	default:
		return true
	}
	return false
}

// askReading takes what the camera's meter reads, and keeps the offset.
func (l *lineUp) askReading() tea.Cmd {
	if !l.risen() {
		return nil
	}
	sent := l.tone.LevelDBFS
	return l.desk.Ask("With the tone at "+figure(sent)+" dBFS the camera's meter reads, in dBFS:", "", func(text string) (tea.Cmd, error) {
		v, ok := parseNumber(text)
		if !ok || v < -80 || v > 0 {
			return nil, errors.New("type the reading with its minus, like −14")
		}
		cmd := l.keep(l.line.State(), func(c *presets.Camera) { c.Scale.OffsetDB, c.LineUp = v-sent, nil })
		l.desk.Say("Kept: the camera reads our output " + signed(v-sent) + " dB; u undoes it")
		return tea.Batch(cmd, l.askMicLevel()), nil
	})
}

// clipMark keeps where the camera's clip mark lights.
func (l *lineUp) clipMark() tea.Cmd {
	if !l.risen() {
		return nil
	}
	if l.desk.Camera.LinedUp.IsZero() {
		l.desk.Say("First enter what the meter reads (e), at a level that does not clip")
		return nil
	}
	at := min(l.tone.LevelDBFS+l.desk.Camera.Scale.OffsetDB, 0)
	cmd := l.keep(l.line.State(), func(c *presets.Camera) { c.Scale.ClipDBFS = at })
	l.desk.Say("Kept: the camera clips at " + figure(at) + " dBFS on its meter; u undoes it")
	return cmd
}

// keep writes a figure into the camera's profile, with how it was found and
// what was sent for it.
func (l *lineUp) keep(sent LineState, change func(*presets.Camera)) tea.Cmd {
	c := l.desk.Camera
	was := c
	l.before = &was
	c.LinedUp, c.LinedUpPreset = l.desk.opt.Now(), l.desk.Settings.Preset
	c.LinedUpVolume = sent.Volume.Volume
	if c.LinedUpWith = sent.Output; c.LinedUpWith == "" {
		c.LinedUpWith = l.output().Name
	}
	change(&c)
	return l.desk.changeCamera(c)
}

func (l *lineUp) undo() tea.Cmd {
	if l.before == nil || l.before.Name != l.desk.Camera.Name {
		l.desk.Say("Nothing to undo")
		return nil
	}
	c := *l.before
	l.before, l.result = nil, nil
	l.desk.Say("The camera's profile is as it was before")
	return l.desk.changeCamera(c)
}

func (l *lineUp) askMicLevel() tea.Cmd {
	return l.desk.Ask("Mic level on the camera now, as its menu words it:", l.desk.Camera.MicLevel, func(text string) (tea.Cmd, error) {
		c := l.desk.Camera
		c.MicLevel = text
		return l.desk.changeCamera(c), nil
	})
}

func (l *lineUp) askClip() tea.Cmd {
	if l.busy != "" {
		return nil
	}
	return l.desk.Ask("Path of the camera's clip:", "", func(text string) (tea.Cmd, error) {
		path := homePath(text)
		if path == "" {
			return nil, errors.New("type the path of a file")
		}
		l.busy = "Reading " + filepath.Base(path) + " …"
		return func() tea.Msg {
			r, err := l.line.Clip(path)
			return clipMsg{path, r, err}
		}, nil
	})
}

// homePath takes quotes off, as a dropped file brings them, and opens "~".
func homePath(text string) string {
	text = strings.Trim(text, `"'`)
	if rest, ok := strings.CutPrefix(text, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, rest)
		}
	}
	return text
}

// measured shows a clip's result and keeps it, but not one made under
// automatic level: its offset holds for nothing.
func (l *lineUp) measured(m clipMsg) tea.Cmd {
	l.busy = ""
	if m.err != nil {
		l.desk.Fail(m.err)
		return nil
	}
	l.result, l.clip.top = &m.result, 0
	if m.result.AutomaticLevel.On {
		l.desk.Fail(errors.New("not kept: the camera's automatic level is on; turn it off and line up again"))
		return nil
	}
	sent, said := l.line.State(), ""
	if !sent.Sent { // in an earlier run, or over another device
		sent, said = LineState{}, "; the output's volume then is unknown"
	}
	l.desk.Say("Kept in the profile of " + l.desk.Camera.Name + said + "; u undoes it")
	return l.keep(sent, func(c *presets.Camera) { c.Scale, c.LineUp = m.result.Scale(), clone(m.result) })
}

func clone(r lineup.Result) *lineup.Result { return &r }
