// Package lineup is the screen on which camera and output are brought to one scale.
//
// Three ways lead there: a tone and the camera's meter read by eye, a sequence
// whose clip is measured, and makers' figures on paper. What sounds is never
// left unseen: leaving the screen stops it.
package lineup

import (
	"errors"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/dsp/gainplan"
	"rollready/dsp/lineup"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

const Name = "Line-up"

// LineUp is the screen on which camera and output are brought to one scale:
// by tone, by clip, or on paper.
type lineUp struct {
	desk   *desk.Desk
	rows   []lineRow
	list   widget.List
	plan   gainplan.Plan
	busy   string         // what is being waited for
	told   string         // fault already told
	result *lineup.Result // shown over the whole screen; nil: not
	clip   widget.Scroll  // the result's table
	panel  widget.Sheet   // what belongs to the chosen row
}

type (
	lineMsg struct{ err error } // a sound has begun, or not
	clipMsg struct {
		result lineup.Result
		known  bool // the output's volume then
		err    error
	}
)

// New makes the screen.
func New(d *desk.Desk) desk.Screen {
	l := &lineUp{desk: d, plan: gainplan.Plan{Output: gainplan.Unknown}}
	l.rows = l.lineRows()
	l.list.Resize(len(l.rows))
	l.list.At = rowTone
	l.list.Again = l.enter
	return l
}

func (*lineUp) Name() string { return Name }

// Keys lists all keys; the last row names those that do something now.
func (l *lineUp) Keys() []desk.Key {
	keys := []desk.Key{
		{Press: "space", Does: "tone on, off: it begins low and rises", Short: "tone on"},
		{Press: "+ −", Does: "step the tone by 1 dB", Short: "step"},
		{Press: "l", Does: "tone at −20 or at −18 dBFS"},
		{Press: "i", Does: "left side broken every 3 s, to tell it from the right"},
		{Press: "e", Does: "enter what the camera's meter reads", Short: "enter reading"},
		{Press: "c", Does: "the camera's clip mark has just lit", Short: "clip mark"},
		{Press: "s", Does: "send the sequence, or stop it"},
		{Press: "f", Does: "read the camera's clip of it: type its path", Short: "read clip"},
		{Press: "v", Does: "view the last clip's result, or leave it"},
		{Press: "u", Does: "undo what was kept last in the camera's profile"},
		{Press: "↑ ↓", Does: "choose a row; ← → change it, enter types or does it"},
		{Press: "PgUp PgDn", Does: "more of what stands beside the rows; the wheel too"},
		{Press: "r", Does: "look for outputs again"},
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
func (l *lineUp) Open() tea.Cmd { return desk.FindOutputs(l.desk.Rig) }

// now is where the line-up stands.
func (l *lineUp) now() rig.LineUp { return l.desk.LineUp }

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
	case desk.TickMsg:
		l.watch()
	case tea.KeyPressMsg:
		return l.key(m.String())
	case desk.OutputsMsg:
		l.desk.Fail(m.Err)
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
		l.level(widget.Other(l.now().Tone.LevelDBFS, -20, -18))
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
		l.result, l.clip.Top = l.desk.Camera.LineUp, 0
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
	if l.panel.Turn(k) {
		return nil
	}
	if l.list.Key(k) {
		if l.rows[l.list.At].heading() { // a heading is passed over
			if k != "up" && k != "k" && k != "home" || l.list.At == 0 {
				l.list.Move(1)
			} else {
				l.list.Move(-1)
			}
		}
		return nil
	}
	row := l.rows[l.list.At]
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
	row := l.rows[l.list.At]
	switch {
	case row.enter != nil:
		return row.enter()
	case row.change != nil:
		return row.change(1)
	}
	return nil
}
