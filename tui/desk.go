package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture/power"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/chain"
	"rollready/presets"
)

// Desk is what all screens share: the newest reading, the settings, and the
// ways to change them. Only the program's goroutine touches it.
type Desk struct {
	opt      Options
	Reading  dsp.Reading // the newest
	Slow     dsp.Reading // for figures: the worst of the last quarter second
	Status   session.Status
	Settings presets.Settings
	Camera   presets.Camera
	Taken    chain.Settings // chain of the preset last taken, to show what changed since
	Battery  power.Battery
	Advice   advice.Advice
	A, B     string // presets marked for comparison
	checked  *checked
	outputs  []Output // as last found
	sendsTo  string   // name of the output that feeds the camera, "" unknown
	sounding
	rolling
	playing *playing // a take that stands in for the input, nil: none

	open     string // screen to be opened next, "" to stay
	message  message
	prompt   *prompt
	question *question
	restyle  bool // the theme changed
	frames   int
	mixed    bool // the figures since the last reset hold sound from before a change of the chain
}

type message struct {
	text string
	bad  bool
	left int // frames it stays
}

func newDesk(opt Options) *Desk {
	d := &Desk{opt: opt, Settings: opt.Settings, Camera: opt.Camera, Taken: opt.Settings.Chain,
		A: opt.Settings.CompareA, B: opt.Settings.CompareB}
	d.Settings.View.Camera = opt.Camera.Scale
	if opt.Preset.Name != "" {
		d.Taken = opt.Preset.Chain
	}
	if opt.advise == nil {
		d.opt.advise = advice.New().Advise
	}
	d.opt.Engine.SetChain(d.Settings.Chain)
	d.opt.Engine.SetView(d.Settings.View)
	return d
}

// SetChain changes the chain: heard at once, kept within a second.
func (d *Desk) SetChain(s chain.Settings) {
	if s == d.Settings.Chain {
		return
	}
	before := d.heard()
	d.Settings.Chain = s
	d.mixed = d.mixed || d.Reading.Frames > 0 && d.heard() != before
	d.opt.Engine.SetChain(d.heard())
	d.keep()
}

// resetHolds begins holds, counts and loudness anew.
func (d *Desk) resetHolds() {
	d.mixed = false
	d.opt.Engine.ResetHolds()
}

// Chain is the live chain.
func (d *Desk) Chain() chain.Settings { return d.Settings.Chain }

// SetView changes how the meters are read.
func (d *Desk) SetView(v dsp.View) {
	d.Settings.View = v
	d.opt.Engine.SetView(v)
	d.keep()
}

// SetCamera takes another camera profile, or a changed one.
func (d *Desk) SetCamera(c presets.Camera) {
	d.Camera, d.Settings.CameraName = c, c.Name
	d.opt.Recorder.SetCamera(c.Scale)
	v := d.Settings.View
	v.Camera = c.Scale
	d.SetView(v)
}

// SetTheme changes the look.
func (d *Desk) SetTheme(name string) {
	d.Settings.Theme, d.restyle = name, true
	d.keep()
}

// Take puts a preset into use.
func (d *Desk) Take(p presets.Preset) {
	d.Taken, d.Settings.Preset = p.Chain, p.Name
	d.SetChain(p.Chain)
	d.keep()
}

// renamed follows a preset to its new name.
func (d *Desk) renamed(from, to string) {
	for _, name := range []*string{&d.A, &d.B, &d.Settings.Preset} {
		if *name == from {
			*name = to
		}
	}
	d.keep()
}

// Go opens another screen.
func (d *Desk) Go(screen string) { d.open = screen }

// Say shows a message in the last row for a few seconds.
func (d *Desk) Say(text string) { d.message = message{text, false, 4 * framesPerSecond} }

// Fail shows an error in the last row, longer.
func (d *Desk) Fail(err error) {
	if err != nil {
		d.message = message{err.Error(), true, 10 * framesPerSecond}
	}
}

// Ask opens a field in the last row for the user to type into. accept is
// called with the text; its error keeps the field open.
func (d *Desk) Ask(label, text string, accept func(text string) (tea.Cmd, error)) tea.Cmd {
	d.prompt = newPrompt(label, text, accept)
	return nil
}

func (d *Desk) keep() {
	d.Settings.CompareA, d.Settings.CompareB = d.A, d.B
	d.opt.Keeper.Set(d.Settings)
}

// tick takes the newest reading.
func (d *Desk) tick() {
	before := d.Reading.Frames
	d.Reading, d.Status = d.opt.Engine.Reading(), d.opt.Engine.Status()
	d.mixed = d.mixed && d.Reading.Frames >= before // another input is metered anew
	d.slow()
	d.forgetChecked()
	d.listen()
	if !d.dead() {
		d.Advice = d.opt.advise(d.Reading, d.Settings.Chain, d.Settings.View.Camera)
	}
	d.frames++
	d.watchTake()
	if d.message.left--; d.message.left <= 0 {
		d.message = message{}
		d.Fail(d.opt.Keeper.Err())
	}
}

// slow keeps figures readable: they change four times a second and show the
// highest level within that time.
func (d *Desk) slow() {
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
	return func() tea.Msg { return cameraSavedMsg{d.opt.Store.Cameras.Save(c)} }
}

// dead tells that the meters show nothing that is true at this moment.
func (d *Desk) dead() bool { return d.Status.Lost || d.Status.Fault != "" }
