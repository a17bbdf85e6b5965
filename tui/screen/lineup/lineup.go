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
	"rollready/tui/keys"
	"rollready/tui/widget"
)

// Name is the word on the tab.
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
	agreed string         // Choice of the output over which the tone may sound
	result *lineup.Result // shown over the whole screen; nil: not
	clip   widget.Scroll  // the result's table
	panel  widget.Sheet   // what belongs to the chosen row
	table  keys.Table
	shown  keys.Table // while a clip's result is shown
}

type (
	lineMsg    struct{ err error } // a sound has begun, or not
	stoppedMsg struct{}            // what sounded has ended
	fedMsg     struct {
		name string
		err  error
	}
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
	l.table, l.shown = l.keys(), l.resultKeys()
	return l
}

// Name is the word on the tab.
func (*lineUp) Name() string { return Name }

// Keys is the table of keys; the last row names those that do something now.
func (l *lineUp) Keys() keys.Table {
	if l.result != nil {
		return l.shown
	}
	return l.table
}

func (l *lineUp) keys() keys.Table {
	return keys.Table{
		{Press: "space", Does: "tone on, off: it begins low and rises", Now: l.word("tone on", "tone off", ""), Do: keys.Cmd(l.toggle)},
		{Press: "+ -", Does: "step the tone by 1 dB", Now: l.word("", "step", ""), Do: keys.Do(func(key string) { l.step(map[string]int{"+": 1, "-": -1}[key]) })},
		{Press: "l", Does: "tone at −20 or at −18 dBFS", Do: keys.Then(func() { l.level(widget.Other(l.now().Tone.LevelDBFS, -20, -18)) })},
		{Press: "i", Does: "left side broken every 3 s, to tell it from the right", Do: keys.Then(l.ident)},
		{Press: "e", Does: "enter what the camera's meter reads", Now: l.word("", "enter reading", ""), Do: keys.Cmd(l.askReading)},
		{Press: "c", Does: "the camera's clip mark has just lit", Now: l.word("", "clip mark", ""), Do: keys.Cmd(l.clipMark)},
		{Press: "s", Does: "send the sequence, or stop it", Now: l.word("send", "", "stop"), Do: keys.Cmd(l.send)},
		{Press: "f", Does: "read the camera's clip of it: type its path", Now: l.word("read clip", "", ""), Do: keys.Cmd(l.askClip)},
		{Press: "v", Does: "view the last clip's result", Do: keys.Then(l.view)},
		{Press: "u", Does: "undo what was kept last in the camera's profile", Do: keys.Cmd(l.undo)},
		{Press: "up down home end", Shown: "↑ ↓", Does: "choose a row; Home End the first, the last", Do: keys.Do(l.choose)},
		{Press: "left right", Does: "change the row", Do: l.change},
		{Press: "enter", Does: "type the row's value, or do it", Do: keys.Cmd(l.enter)},
		l.panel.Pages("more of what stands beside the rows"),
		{Press: "r", Does: "look for outputs again", Do: keys.Cmd(l.look)},
	}
}

// word is that of the last row while nothing sounds, the tone, the sequence.
func (l *lineUp) word(quiet, tone, sequence string) func() string {
	return func() string {
		return map[rig.Sending]string{rig.Quiet: quiet, rig.ToneSounds: tone, rig.SequenceSounds: sequence}[l.now().Sounds]
	}
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
	return func() tea.Msg { l.desk.Rig.StopLine(); return stoppedMsg{} }
}

// Update takes what was found.
func (l *lineUp) Update(msg tea.Msg) tea.Cmd {
	switch m := msg.(type) {
	case desk.TickMsg:
		l.watch()
	case desk.OutputsMsg:
		l.desk.Fail(m.Err)
	case lineMsg:
		l.busy = ""
		l.desk.Fail(m.err)
	case stoppedMsg:
		return l.offerFeed()
	case fedMsg:
		l.fed(m)
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

// view shows the last clip's result.
func (l *lineUp) view() {
	l.result, l.clip.Top = l.desk.Camera.LineUp, 0
	if l.result == nil {
		l.desk.Say("No clip was read for this camera yet")
	}
}

func (l *lineUp) look() tea.Cmd {
	l.desk.Say("Looking for outputs")
	return l.Open()
}

// choose goes from row to row; a heading is passed over.
func (l *lineUp) choose(key string) {
	n := map[string]int{"up": -1, "down": 1, "home": -len(l.rows), "end": len(l.rows)}[key]
	l.list.Move(n)
	if l.rows[l.list.At].heading() {
		if n < 0 && l.list.At > 0 {
			l.list.Move(-1)
		} else {
			l.list.Move(1)
		}
	}
}

// change goes one on in a row's values; one without does what enter does.
func (l *lineUp) change(key string) tea.Cmd {
	row := l.rows[l.list.At]
	switch {
	case row.change != nil:
		return row.change(map[string]int{"left": -1, "right": 1}[key])
	case key == "right":
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
