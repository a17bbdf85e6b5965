package tui

import (
	"errors"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/dsp/gainplan"
	"rollready/dsp/lineup"
)

const lineupName = "Line-up"

// lineUp is the screen on which camera and output are brought to one scale:
// by tone, by clip, or on paper.
type lineUp struct {
	desk   *Desk
	rows   []lineRow
	list   list
	plan   gainplan.Plan
	busy   string         // what is being waited for
	told   string         // fault already told
	result *lineup.Result // shown over the whole screen; nil: not
	clip   scroll         // the result's table
	panel  sheet          // what belongs to the chosen row
}

type (
	lineOutputsMsg struct{ err error } // looked for
	lineMsg        struct{ err error } // a sound has begun, or not
	clipMsg        struct {
		result lineup.Result
		known  bool // the output's volume then
		err    error
	}
)

func newLineup(d *Desk) Screen {
	l := &lineUp{desk: d, plan: gainplan.Plan{Output: gainplan.Unknown}}
	l.rows = l.lineRows()
	l.list.resize(len(l.rows))
	l.list.at = rowTone
	l.list.again = l.enter
	return l
}

func (*lineUp) Name() string { return lineupName }

// Keys lists all keys; the last row names those that do something now.
func (l *lineUp) Keys() []Key {
	keys := []Key{
		{"space", "tone on, off: it begins low and rises", "tone on"},
		{"+ −", "step the tone by 1 dB", "step"},
		{"l", "tone at −20 or at −18 dBFS", ""},
		{"i", "left side broken every 3 s, to tell it from the right", ""},
		{"e", "enter what the camera's meter reads", "enter reading"},
		{"c", "the camera's clip mark has just lit", "clip mark"},
		{"s", "send the sequence, or stop it", ""},
		{"f", "read the camera's clip of it: type its path", "read clip"},
		{"v", "view the last clip's result, or leave it", ""},
		{"u", "undo what was kept last in the camera's profile", ""},
		{"↑ ↓", "choose a row; ← → change it, enter types or does it", ""},
		{"PgUp PgDn", "more of what stands beside the rows; the wheel too", ""},
		{"r", "look for outputs again", ""},
	}
	switch {
	case l.result != nil:
		keys[0].Short, keys[1].Short, keys[4].Short, keys[5].Short, keys[7].Short = "", "", "", "", ""
		keys[8].Short, keys[9].Short = "back", "undo"
	case l.now().Sounds == rig.ToneSounds:
		keys[0].Short, keys[7].Short = "tone off", ""
	case l.now().Sounds == rig.SequenceSounds:
		keys[0].Short, keys[1].Short, keys[4].Short, keys[5].Short, keys[7].Short = "", "", "", "", ""
		keys[6].Short = "stop"
	default:
		keys[1].Short, keys[4].Short, keys[5].Short, keys[6].Short = "", "", "", "send"
	}
	return keys
}

// Open looks for outputs.
func (l *lineUp) Open() tea.Cmd { return findOutputs(l.desk.Rig) }

// now is where the line-up stands.
func (l *lineUp) now() rig.LineUp { return l.desk.LineUp }

func findOutputs(r *rig.Rig) tea.Cmd {
	return func() tea.Msg { return lineOutputsMsg{r.LookForOutputs()} }
}

// Leave ends what sounds: nobody would see it.
func (l *lineUp) Leave() tea.Cmd {
	if l.now().Sounds == rig.Quiet && l.busy == "" {
		return nil
	}
	l.desk.Say("What was sent to the camera was stopped")
	return l.stop()
}

func (l *lineUp) stop() tea.Cmd {
	return func() tea.Msg { l.desk.Rig.StopLine(); return lineMsg{} }
}

// Update answers keys and takes what was found.
func (l *lineUp) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case tickMsg:
		l.watch()
	case tea.KeyPressMsg:
		return l.key(m.String())
	case lineOutputsMsg:
		l.desk.Fail(m.err)
	case lineMsg:
		l.busy = ""
		l.desk.Fail(m.err)
	case clipMsg:
		return l.measured(m)
	}
	return nil
}

// watch tells, once, why a sound ended.
func (l *lineUp) watch() {
	fault := l.now().Fault
	if fault != "" && fault != l.told {
		l.desk.Fail(errors.New(fault))
	}
	l.told = fault
}

func (l *lineUp) key(k string) tea.Cmd {
	if l.result != nil {
		return l.resultKey(k)
	}
	switch k {
	case "space":
		return l.toggle()
	case "+", "=":
		l.step(1)
	case "-", "−":
		l.step(-1)
	case "l":
		l.level(other(l.now().Tone.LevelDBFS, -20, -18))
	case "i":
		l.ident()
	case "e":
		return l.askReading()
	case "c":
		return l.clipMark()
	case "s":
		return l.send()
	case "f":
		return l.askClip()
	case "v":
		l.result, l.clip.top = l.desk.Camera.LineUp, 0
		if l.result == nil {
			l.desk.Say("No clip was read for this camera yet")
		}
	case "u":
		return l.undo()
	case "r":
		l.desk.Say("Looking for outputs")
		return l.Open()
	default:
		return l.rowKey(k)
	}
	return nil
}

func (l *lineUp) rowKey(k string) tea.Cmd {
	if l.panel.turn(k) {
		return nil
	}
	if l.list.key(k) {
		if l.rows[l.list.at].heading() { // a heading is passed over
			if k != "up" && k != "k" && k != "home" || l.list.at == 0 {
				l.list.move(1)
			} else {
				l.list.move(-1)
			}
		}
		return nil
	}
	row := l.rows[l.list.at]
	switch {
	case k == "left" && row.change != nil:
		return row.change(-1)
	case k == "right" && row.change != nil:
		return row.change(1)
	case k == "enter", k == "right":
		return l.enter()
	}
	return nil
}

func (l *lineUp) enter() tea.Cmd {
	row := l.rows[l.list.at]
	switch {
	case row.enter != nil:
		return row.enter()
	case row.change != nil:
		return row.change(1)
	}
	return nil
}
