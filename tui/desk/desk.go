// Package desk is what all screens share: the rig, how it stands, and the last row.
//
// A [Desk] holds the state of this frame, taken anew before every message, so
// that what a key does is done as things stand. It keeps figures still long
// enough to be read, carries what is said, asked and typed in the last row,
// and has the actions that mean the same on every screen: rolling a take,
// marking, muting. It holds no rule of the domain: those are the rig's.
package desk

import (
	"errors"
	"strconv"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/capture/rig/output"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
	"rollready/presets"
	"rollready/tui/widget"
)

// Desk is what all screens share: what runs, how it stood at this frame, and
// what lies over the screens. Only the program's goroutine touches it.
type Desk struct {
	Rig       *rig.Rig
	rig.State          // as it stands; what a method of the desk changes is in it at once
	Notices   []string // what the user must know at the start
	Shared    Shared   // with viewers over SSH; nil: it is not

	Slow      dsp.Reading // for figures: the worst of the last quarter second
	ReducedDB float64     // the most that the limiter took within that time
	rolling

	Open     string // screen to be opened next, "" to stay
	Message  Message
	Prompt   *widget.Prompt
	Question *widget.Question
	Restyle  bool // the theme changed
	Frames   int  // frames since the start, as time
	Steady   bool // figures keep still at this frame
}

// Shared is what a person must know to let others look.
type Shared interface {
	Address() string
	Fingerprint() string
	Keys() string // file of those who may
	Viewers() int // who look now
}

// Message is what is said in the last row for a while.
type Message struct {
	Text string
	Bad  bool
	left int // frames it stays
}

// NewDesk makes the desk of a rig; notices are what the user must know at the start.
func NewDesk(r *rig.Rig, notices []string) *Desk {
	d := &Desk{Rig: r, Notices: notices}
	d.Refresh()
	return d
}

// Refresh takes the newest state. What must be seen at once, a mute or a loss,
// is; figures of the ways out keep still for a quarter second.
func (d *Desk) Refresh() {
	before := d.State
	d.State = d.Rig.State()
	if d.Steady {
		keepFigures(&d.Phones.Status, before.Phones.Status)
		keepFigures(&d.ToCamera.Status, before.ToCamera.Status)
	}
}

func keepFigures(s *output.Status, before output.Status) {
	if s.Device == before.Device {
		s.DelayMS, s.DriftPPM = before.DelayMS, before.DriftPPM
	}
}

// SetChain changes the chain: heard at once, kept within a second.
func (d *Desk) SetChain(s chain.Settings) error {
	err := d.Rig.SetChain(s)
	d.Refresh()
	return err
}

// SetStrips changes the strips, alike.
func (d *Desk) SetStrips(s strips.Settings) error {
	err := d.Rig.SetStrips(s)
	d.Refresh()
	return err
}

// Chain is the live chain, that of the chosen strip.
func (d *Desk) Chain() chain.Settings { return d.Settings.Chain() }

// Called is the chosen microphone.
func (d *Desk) Called() string { return d.Settings.Strips.Called(d.Settings.Strip) }

// NextStrip goes on to the next microphone: controls and bands are its.
func (d *Desk) NextStrip() {
	if d.Status.Picked.Count < 2 {
		d.Say("There is one microphone: choose channels in Setup")
		return
	}
	next := (d.Settings.Strip + 1) % d.Status.Picked.Count
	d.Rig.ChooseStrip(next)
	v := d.Settings.View
	v.BandChannel = dsp.BandChannel(next)
	d.SetView(v)
	words := d.Called()
	if !d.Settings.Strips.Unlinked {
		words += "; its controls are those of all (k on the Monitor parts them)"
	}
	d.Say("Now: " + words)
}

// SetView changes how the meters are read.
func (d *Desk) SetView(v dsp.View) {
	d.Rig.SetView(v)
	d.Refresh()
}

// SetCamera takes another camera profile.
func (d *Desk) SetCamera(c presets.Camera) {
	d.Rig.SetCamera(c)
	d.Refresh()
}

// SetTheme changes the look.
func (d *Desk) SetTheme(name string) {
	d.Restyle = true
	d.Change(func(s *presets.Settings) { s.Theme = name })
}

// Change alters settings that need nothing but to be kept.
func (d *Desk) Change(alter func(*presets.Settings)) {
	d.Rig.Change(alter)
	d.Refresh()
}

// UsePreset puts a preset into use, and says why where it can't.
func (d *Desk) UsePreset(p presets.Preset, said string) {
	err := d.Rig.UsePreset(p)
	d.Refresh()
	if err == nil && said != "" {
		d.Say(said)
	}
	d.Fail(err)
}

// ResetHolds begins holds, counts and loudness anew.
func (d *Desk) ResetHolds() {
	d.Rig.ResetHolds()
	d.Refresh()
}

// Go opens another screen.
func (d *Desk) Go(screen string) { d.Open = screen }

// Say shows a message in the last row for a few seconds.
func (d *Desk) Say(text string) { d.Message = Message{text, false, 4 * widget.FramesPerSecond} }

// Fail shows an error in the last row, longer. That something can't be done
// now, where nothing is wrong, is only said.
func (d *Desk) Fail(err error) {
	var no rig.Refusal
	switch {
	case err == nil:
	case errors.As(err, &no):
		d.Say(err.Error())
	default:
		d.Message = Message{err.Error(), true, 10 * widget.FramesPerSecond}
	}
}

// Ask opens a field in the last row for the user to type into. accept is
// called with the text; its error keeps the field open.
func (d *Desk) Ask(label, text string, accept func(text string) (tea.Cmd, error)) tea.Cmd {
	d.Prompt = widget.NewPrompt(label, text, accept)
	return nil
}

// Confirm asks a question in the last row. yes is what enter does, as a verb.
func (d *Desk) Confirm(key, text, yes string, do func() tea.Cmd) tea.Cmd {
	d.Question = widget.NewQuestion(key, text, yes, d.Frames, do)
	return nil
}

// Answer takes a key while a question is open.
func (d *Desk) Answer(key string) tea.Cmd {
	q := d.Question
	cmd, open := q.Answer(key, d.Frames)
	if !open && d.Question == q {
		d.Question = nil
	}
	return cmd
}

// quarter is for how many frames figures keep still.
const quarter = widget.FramesPerSecond / 4

// Tick takes the newest state after n frames.
func (d *Desk) Tick(n int) {
	d.Refresh()
	d.slow()
	d.Steady = d.Frames/quarter == (d.Frames+n)/quarter
	d.Frames += n
	d.watchTake()
	if d.Count.On && !d.Message.Bad {
		d.Say("Rolls in " + strconv.Itoa(d.Count.Seconds()) + " s; ctrl-r calls it off")
	}
	if d.Message.left -= n; d.Message.left <= 0 {
		d.Message = Message{}
		d.Fail(d.Rig.KeepingErr())
	}
}

// slow keeps figures readable: they change four times a second and show the
// highest level within that time.
func (d *Desk) slow() {
	d.ReducedDB = max(d.ReducedDB, d.Status.ReductionDB)
	if !d.Steady {
		d.ReducedDB = d.Status.ReductionDB
	}
	if !d.Steady || d.Slow.Channels != d.Reading.Channels || d.Slow.Fed != d.Reading.Fed {
		d.Slow = d.Reading
		return
	}
	for c := range d.Reading.Channels {
		worst(&d.Slow.Input[c], d.Reading.Input[c])
		worst(&d.Slow.Output[c], d.Reading.Output[c])
	}
	for c := range d.Reading.Fed {
		if d.Reading.Camera[c].HeadroomDB < d.Slow.Camera[c].HeadroomDB {
			d.Slow.Camera[c] = d.Reading.Camera[c]
		}
	}
}

func worst(to *dsp.Level, l dsp.Level) {
	peak := max(to.PeakDBFS, l.PeakDBFS)
	*to = l
	to.PeakDBFS = peak
}

// BatteryEvery is how often the battery is read.
const BatteryEvery = 30 * time.Second

// CameraSavedMsg says how keeping the camera profile went.
type CameraSavedMsg struct{ Err error }

// ChangeCamera takes a changed profile at once and saves it.
func (d *Desk) ChangeCamera(c presets.Camera) tea.Cmd {
	d.SetCamera(c)
	return d.SaveCamera
}

// SaveCamera is the command that writes the profile in use.
func (d *Desk) SaveCamera() tea.Msg { return CameraSavedMsg{d.Rig.SaveCamera()} }

type (
	TickMsg    struct{ Frames int } // so many have gone by
	BatteryMsg struct{}
)
