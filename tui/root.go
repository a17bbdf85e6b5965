package tui

import (
	"errors"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"

	"rollready/capture/rescue"
	"rollready/capture/rig"
	"rollready/presets"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/keys"
	"rollready/tui/screen/reminder"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Smallest terminal the screens work on.
const (
	minWidth  = 60
	minHeight = 18
)

// root routes messages to the open screen and keeps the drawn frame.
type root struct {
	opt     Options
	desk    *desk.Desk
	all     []desk.Screen
	open    int
	help    bool          // the key help is shown
	lines   widget.Scroll // its text
	tables  [2]keys.Table // above all, and everywhere
	frame   widget.Frame
	pointer widget.Pointer
	tabs    []widget.Click
	profile colorprofile.Profile
	stale   bool  // what is drawn is not what should show
	heard   int64 // frames of sound at the last tick
	crashed *panicMsg
}

func newRoot(opt Options, profile colorprofile.Profile) *root {
	if opt.Rig == nil {
		opt.Rig = rig.New(opt.parts)
	}
	r := &root{opt: opt, desk: desk.NewDesk(opt.Rig, opt.Notices), profile: profile, stale: true}
	r.all = screens(r.desk)
	r.tables = [2]keys.Table{r.above(), r.everywhere()}
	r.retheme()
	r.frame.Canvas = &canvas.Canvas{}
	for i := range r.all {
		r.tabs = append(r.tabs, func() tea.Cmd { return r.turn(i) })
	}
	for i, s := range r.all {
		if s.Name() == r.desk.Settings.Screen {
			r.open = i
		}
		if s.Name() == reminder.Name && !r.desk.Camera.SkipCard {
			r.open = i
			break
		}
	}
	if len(opt.Notices) > 0 {
		r.desk.Fail(errors.New(strings.Join(opt.Notices, "; ")))
	}
	return r
}

func (r *root) retheme() {
	r.frame.Theme = theme.New(r.desk.Settings.Theme, r.profile)
	r.desk.Restyle = false
}

// Init starts the clock and the battery's.
func (r *root) Init() tea.Cmd {
	r.desk.Tick(0)
	return r.guard(tea.Batch(r.clock(), r.battery(), r.desk.Mend(), r.all[r.open].Open()))
}

// clock counts the frames. While no sound comes nothing on the screen moves by
// itself, and it goes slower.
func (r *root) clock() tea.Cmd {
	if r.opt.clock != nil {
		return r.opt.clock
	}
	n := 1
	if r.desk.Reading.Frames == r.heard {
		n = 4
	}
	r.heard = r.desk.Reading.Frames
	return tea.Tick(time.Duration(n)*time.Second/widget.FramesPerSecond, func(time.Time) tea.Msg { return desk.TickMsg{Frames: n} })
}

func (r *root) battery() tea.Cmd {
	return func() tea.Msg { r.desk.Rig.ReadBattery(); return desk.BatteryMsg{} }
}

// Update routes one message. A panic in it ends the program in order.
func (r *root) Update(msg tea.Msg) (_ tea.Model, cmd tea.Cmd) {
	defer func() {
		if cause := recover(); cause != nil {
			r.crashed = &panicMsg{cause, rescue.Place()}
			cmd = tea.Quit
		}
	}()
	if r.crashed != nil {
		return r, tea.Quit
	}
	cmd = r.guard(r.route(msg))
	if r.desk.Restyle {
		r.retheme()
	}
	if r.desk.Open != "" {
		cmd = tea.Batch(cmd, r.guard(r.follow()))
	}
	r.show()
	return r, cmd
}

// View gives nothing: what is drawn goes to the terminal by itself.
func (r *root) View() tea.View { return tea.View{} }

// show draws where something changed, and hands it on.
func (r *root) show() {
	if !r.stale {
		return
	}
	r.stale = false
	r.draw()
	if t := r.opt.Terminal; t != nil {
		t.Out.Show(r.frame.Canvas, r.frame.Palette)
	}
}

func (r *root) route(msg tea.Msg) tea.Cmd {
	if _, is := msg.(desk.TickMsg); !is { // what is answered is answered as things stand
		r.desk.Refresh()
	}
	switch m := msg.(type) {
	case desk.TickMsg:
		r.desk.Tick(max(m.Frames, 1))
		r.stale = true
		return tea.Batch(r.clock(), r.desk.Due(), r.tell(m))
	case tea.MouseMsg: // seen at the next tick: drags come faster than frames
		if r.desk.Prompt != nil || r.help {
			r.overlaid(m)
			return nil
		}
		_, moves := m.(tea.MouseMotionMsg)
		r.stale = r.stale || !moves
		return r.pointer.Mouse(m, &r.frame)
	case tea.WindowSizeMsg:
		if m.Width*m.Height == 0 { // the library's, which knows no terminal
			return nil
		}
		r.frame.Resize(m.Width, m.Height)
		r.stale = true
		r.pointer.Drop()
		return nil
	case tea.ResumeMsg:
		r.pointer.Drop()
		r.desk.Fail(r.opt.Terminal.Enter())
		return nil
	case tea.BlurMsg:
		r.pointer.Drop()
		return nil
	case tea.PasteMsg:
		r.stale = true
		return r.paste(m)
	case tea.KeyPressMsg:
		r.stale = true
		return r.key(m)
	case panicMsg:
		r.crashed = &m
		return tea.Quit
	case desk.BatteryMsg:
		r.stale = true
		return tea.Tick(desk.BatteryEvery, func(time.Time) tea.Msg { return r.battery()() })
	}
	r.stale = true
	return tea.Batch(r.desk.Hear(msg), r.tell(msg))
}

// tell passes a message to every screen: only one knows it.
func (r *root) tell(msg tea.Msg) tea.Cmd {
	cmds := make([]tea.Cmd, 0, len(r.all))
	for _, s := range r.all {
		cmds = append(cmds, s.Update(msg))
	}
	return tea.Batch(cmds...)
}

// paste goes into the open field and nowhere else.
func (r *root) paste(m tea.PasteMsg) tea.Cmd {
	if p := r.desk.Prompt; p != nil {
		p.Paste(m)
	}
	return nil
}

// overlaid answers the mouse while a field or the key help lies on top.
func (r *root) overlaid(m tea.MouseMsg) {
	switch m := m.(type) {
	case tea.MouseWheelMsg:
		if r.help {
			r.lines.Wheel(widget.Wheel(m))
		}
	case tea.MouseClickMsg:
		if r.help && m.Button == tea.MouseLeft {
			r.turnHelp()
		}
	}
	r.stale = r.stale || r.help
}

// key answers the keys that mean the same everywhere, and passes on the rest.
func (r *root) key(m tea.KeyPressMsg) tea.Cmd {
	if m.Mod.Contains(tea.ModAlt) { // Escape and a key that arrived together
		m.Mod &^= tea.ModAlt
		if m.Mod == 0 && m.Text == "" && m.Code < tea.KeyExtended {
			m.Text = string(m.Code)
		}
		return tea.Sequence(r.guard(r.key(tea.KeyPressMsg{Code: tea.KeyEscape})), r.guard(r.key(m)))
	}
	key := m.String()
	if r.desk.Question != nil {
		return r.desk.Answer(key)
	}
	if cmd, done := r.tables[0].Do(key); done {
		return cmd
	}
	if r.desk.Prompt != nil {
		p := r.desk.Prompt
		cmd, done := p.Key(m)
		if done && r.desk.Prompt == p {
			r.desk.Prompt = nil
		}
		return cmd
	}
	return r.command(m)
}

func (r *root) suspend() tea.Cmd {
	if r.desk.Rec.Rolling {
		r.desk.Say("A take is rolling: suspending would stop it")
		return nil
	}
	r.opt.Terminal.Leave()
	return tea.Suspend
}

func (r *root) openHelp() { r.help, r.lines.Top, r.stale = true, 0, true }

// helpKey goes over the key help, or leaves it.
func (r *root) helpKey(key string) {
	moves := strings.Contains(" up down pgup pgdown home end ", " "+key+" ")
	if moves && (r.lines.Above() || r.lines.Below()) {
		r.lines.Key(key)
		return
	}
	r.turnHelp()
}

// turnHelp goes on in the key help, or from its end back to the screen.
func (r *root) turnHelp() {
	r.help, r.stale = r.lines.Below(), true
	r.lines.Key("pgdown")
}

func (r *root) command(m tea.KeyPressMsg) tea.Cmd {
	if r.help {
		r.helpKey(m.String())
		return nil
	}
	key := m.String()
	if key == "esc" { // from what is over all, inwards
		r.desk.Rig.SeenFailure()
		back := r.desk.Back()
		cmd, _ := r.all[r.open].Keys().Do(key)
		return tea.Batch(back, cmd)
	}
	if cmd, done := r.tables[1].Do(key); done {
		return cmd
	}
	cmd, _ := r.all[r.open].Keys().Do(key)
	return cmd
}

func (r *root) turn(i int) tea.Cmd {
	var left tea.Cmd
	if i != r.open {
		if l, ok := r.all[r.open].(desk.Leaver); ok {
			left = l.Leave()
		}
		r.open, r.stale = i, true
		r.pointer.Drop()
		r.desk.Change(func(s *presets.Settings) { s.Screen = r.all[i].Name() })
	}
	return tea.Batch(left, r.all[i].Open())
}

func (r *root) follow() tea.Cmd {
	name := r.desk.Open
	r.desk.Open = ""
	for i, s := range r.all {
		if s.Name() == name {
			return r.turn(i)
		}
	}
	return nil
}
