package desk

import (
	"errors"
	"fmt"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/capture/take"
	"rollready/tui/format"
)

// rollKey asks again before a take is stopped.
const rollKey = "ctrl+r"

type (
	RolledMsg struct {
		Take take.Take
		err  error
	}
	stoppedMsg struct {
		take take.Take
		err  error
		quit bool
	}
	mendedMsg struct {
		all []take.Recovered
		err error
	}
	// takesChangedMsg says that the folder of the takes is not as it was.
	TakesChangedMsg struct{}
)

// rolling is what the screens remember of takes.
type rolling struct {
	Next  int         // number of the next take of the scene; 0: not known yet
	busy  bool        // waiting for the recorder to begin or end
	Fresh bool        // the folder changed
	seen  take.Status // as it was when last looked
	retry int         // frame from which the way back from a played take may be tried again
}

// RollOrStop begins a take or its countdown, calls that off, or asks whether the one that rolls is to be stopped.
func (d *Desk) RollOrStop() tea.Cmd {
	switch {
	case d.Count.On:
		d.Rig.CallOff()
		d.Say("Called off: nothing rolls")
		return nil
	case !d.Rec.Rolling && d.Settings.CountdownS > 0:
		d.Fail(d.Rig.CountDown())
		return nil
	case !d.Rec.Rolling:
		return d.rollScene()
	}
	return d.Confirm(rollKey, "Stop "+d.Rec.Take.Title()+"?", "stops it", func() tea.Cmd { return d.stop(false) })
}

func (d *Desk) rollScene() tea.Cmd { return d.roll(take.What{Scene: d.Settings.Recording.Scene}) }

// RollRoomTone records room tone.
func (d *Desk) RollRoomTone() tea.Cmd { return d.roll(take.RoomTone(d.Settings.Recording.Scene)) }

// rollCounted begins the take that was counted down.
func (d *Desk) rollCounted() tea.Cmd {
	return d.begin(d.Rig.RollCounted, take.What{Scene: d.Settings.Recording.Scene})
}

// roll begins a take.
func (d *Desk) roll(w take.What) tea.Cmd { return d.begin(d.Rig.Roll, w) }

func (d *Desk) begin(roll func(take.What) (take.Take, error), w take.What) tea.Cmd {
	if d.busy {
		return nil
	}
	d.busy = true
	return func() tea.Msg {
		t, err := roll(w)
		return RolledMsg{t, NotRolling(err)}
	}
}

// NotRolling says of an error, but for a refusal, that no take rolls.
func NotRolling(err error) error {
	if refusal := rig.Refusal(""); err == nil || errors.As(err, &refusal) {
		return err
	}
	return fmt.Errorf("NOT ROLLING: %w", err)
}

func (d *Desk) stop(quit bool) tea.Cmd {
	d.busy = true
	return func() tea.Msg {
		t, err := d.Rig.Stop()
		return stoppedMsg{t, err, quit}
	}
}

// Quit ends the program, but not a take by accident.
func (d *Desk) Quit(key string) tea.Cmd {
	if !d.Rec.Rolling {
		return tea.Quit
	}
	return d.Confirm(key, d.Rec.Take.Title()+" is rolling.", "stops it and quits", func() tea.Cmd { return d.stop(true) })
}

// Unlock lets gain and filters be turned while a take rolls, or locks them again.
func (d *Desk) Unlock() {
	switch {
	case !d.Rec.Rolling:
		d.Say("Gain and filters are locked only while a take rolls")
	case d.Rig.Unlock():
		d.Say("Gain and filters are locked again")
	default:
		d.Say("Gain and filters can be turned in this take; ctrl-g locks them again")
	}
	d.Refresh()
}

// Slate sounds the slate tone.
func (d *Desk) Slate() {
	d.Say("Slate tone to file and camera, marked at " + format.Clock(d.Rec.Elapsed))
	d.Fail(d.Rig.Slate())
}

// Marker marks this moment; its word may take its time.
func (d *Desk) Marker() tea.Cmd {
	if !d.Rec.Rolling {
		d.Say("A marker needs a rolling take: ctrl-r rolls")
		return nil
	}
	rec := d.Rig.Recorder()
	at, place := rec.Here(), format.Clock(d.Rec.Elapsed)
	return d.Ask("Marker at "+place+", its word:", "", func(text string) (tea.Cmd, error) {
		if text == "" {
			text = "marker"
		}
		rec.MarkAt(at, text)
		d.Say("Marked " + place + " " + text)
		return nil, nil
	})
}

// Mend looks for takes that a crash left behind.
func (d *Desk) Mend() tea.Cmd {
	rec := d.Rig.Recorder()
	return func() tea.Msg {
		all, err := rec.Mend()
		return mendedMsg{all, err}
	}
}
