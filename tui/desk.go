package tui

import (
	"errors"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/capture/rig/output"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/presets"
)

// Desk is what all screens share: what runs, how it stood at this frame, and
// what lies over the screens. Only the program's goroutine touches it.
type Desk struct {
	Rig       *rig.Rig
	rig.State // as it stands; what a method of the desk changes is in it at once
	opt       Options

	Slow      dsp.Reading // for figures: the worst of the last quarter second
	reducedDB float64     // the most that the limiter took within that time
	rolling

	open     string // screen to be opened next, "" to stay
	message  message
	prompt   *prompt
	question *question
	restyle  bool // the theme changed
	frames   int
}

type message struct {
	text string
	bad  bool
	left int // frames it stays
}

func newDesk(opt Options) *Desk {
	d := &Desk{opt: opt, Rig: opt.Rig}
	d.refresh()
	return d
}

// refresh takes the newest state. What must be seen at once, a mute or a loss,
// is; figures of the ways out keep still for a quarter second.
func (d *Desk) refresh() {
	before := d.State
	d.State = d.Rig.State()
	if d.frames%(framesPerSecond/4) != 0 {
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
func (d *Desk) SetChain(s chain.Settings) {
	d.Rig.SetChain(s)
	d.refresh()
}

// Chain is the live chain.
func (d *Desk) Chain() chain.Settings { return d.Settings.Chain }

// SetView changes how the meters are read.
func (d *Desk) SetView(v dsp.View) {
	d.Rig.SetView(v)
	d.refresh()
}

// SetCamera takes another camera profile.
func (d *Desk) SetCamera(c presets.Camera) {
	d.Rig.SetCamera(c)
	d.refresh()
}

// SetTheme changes the look.
func (d *Desk) SetTheme(name string) {
	d.restyle = true
	d.Change(func(s *presets.Settings) { s.Theme = name })
}

// Change alters settings that need nothing but to be kept.
func (d *Desk) Change(alter func(*presets.Settings)) {
	d.Rig.Change(alter)
	d.refresh()
}

// UsePreset puts a preset into use.
func (d *Desk) UsePreset(p presets.Preset) {
	d.Rig.UsePreset(p)
	d.refresh()
}

// resetHolds begins holds, counts and loudness anew.
func (d *Desk) resetHolds() {
	d.Rig.ResetHolds()
	d.refresh()
}

// Go opens another screen.
func (d *Desk) Go(screen string) { d.open = screen }

// Say shows a message in the last row for a few seconds.
func (d *Desk) Say(text string) { d.message = message{text, false, 4 * framesPerSecond} }

// Fail shows an error in the last row, longer. That something can't be done
// now, where nothing is wrong, is only said.
func (d *Desk) Fail(err error) {
	var no rig.Refusal
	switch {
	case err == nil:
	case errors.As(err, &no):
		d.Say(err.Error())
	default:
		d.message = message{err.Error(), true, 10 * framesPerSecond}
	}
}

// Ask opens a field in the last row for the user to type into. accept is
// called with the text; its error keeps the field open.
func (d *Desk) Ask(label, text string, accept func(text string) (tea.Cmd, error)) tea.Cmd {
	d.prompt = newPrompt(label, text, accept)
	return nil
}

// tick takes the newest state.
func (d *Desk) tick() {
	d.refresh()
	d.slow()
	d.frames++
	d.watchTake()
	if d.message.left--; d.message.left <= 0 {
		d.message = message{}
		d.Fail(d.Rig.KeepingErr())
	}
}

// slow keeps figures readable: they change four times a second and show the
// highest level within that time.
func (d *Desk) slow() {
	d.reducedDB = max(d.reducedDB, d.Status.ReductionDB)
	if d.frames%(framesPerSecond/4) == 0 {
		d.reducedDB = d.Status.ReductionDB
	}
	if d.frames%(framesPerSecond/4) == 0 || d.Slow.Channels != d.Reading.Channels {
		d.Slow = d.Reading
		return
	}
	for c := range d.Reading.Channels {
		worst(&d.Slow.Input[c], d.Reading.Input[c])
		worst(&d.Slow.Output[c], d.Reading.Output[c])
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

// batteryEvery is how often the battery is read.
const batteryEvery = 30 * time.Second

type cameraSavedMsg struct{ err error }

// changeCamera takes a changed profile at once and saves it.
func (d *Desk) changeCamera(c presets.Camera) tea.Cmd {
	d.SetCamera(c)
	return d.saveCamera
}

// saveCamera is the command that writes the profile in use.
func (d *Desk) saveCamera() tea.Msg { return cameraSavedMsg{d.Rig.SaveCamera()} }
