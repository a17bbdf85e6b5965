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
	far     bool          // the far view is shown
	counts  bool          // a take is counted down, as of the last frame
	touched time.Time     // when a key or the mouse was used
	help    bool          // the key help is shown
	lines   widget.Scroll // its text
	tables  [2]keys.Table // above all, and everywhere
	frame   widget.Frame
	pointer widget.Pointer
	tabs    []widget.Click
	profile colorprofile.Profile
	stale   bool // what is drawn is not what should show
	clock   clock
	crashed *panicMsg
}

func newRoot(opt Options, profile colorprofile.Profile) *root {
	if opt.Rig == nil {
		opt.Rig = rig.New(opt.parts)
	}
	r := &root{opt: opt, desk: desk.NewDesk(opt.Rig, opt.Notices), profile: profile, stale: true}
	r.touched, r.desk.Shared = r.desk.At, opt.Shared
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

// Init begins to read the battery.
func (r *root) Init() tea.Cmd {
	r.desk.Tick(0)
	return r.guard(tea.Batch(r.battery(), r.desk.Mend(), r.all[r.open].Open()))
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
		r.wait()
		r.clock.look(r.desk.Reading.Frames, r.far && !r.desk.Count.On, r.desk.At)
		r.stale = true
		return tea.Batch(r.desk.Due(), r.tell(m))
	case tea.MouseMsg: // seen at the next tick: drags come faster than frames
		r.touched = r.desk.At
		if r.desk.Prompt != nil || r.help || r.far {
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
		r.clock.away = true
		r.pointer.Drop()
		return nil
	case tea.FocusMsg:
		r.clock.away = false
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
