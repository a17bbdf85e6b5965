package tui

import (
	"strings"
	"time"

	"github.com/charmbracelet/colorprofile"
	"golang.org/x/time/rate"

	"rollready/capture/rig"
	"rollready/capture/take"
	"rollready/presets"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/screen/far"
	"rollready/tui/screen/monitor"
	"rollready/tui/share"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Figures of a glance.
const (
	glanceEvery  = 100 * time.Millisecond
	glanceFrames = int(glanceEvery * widget.FramesPerSecond / time.Second)
	aliveEvery   = 10 * time.Second // something is sent, so that a still picture is not taken for a dead line
	sureAfter    = time.Second / 2  // from when a second key stops a take: not a key that is held down
	sureFor      = 5 * time.Second  // and until when
	marksASecond = 2
)

// What takes a viewer's terminal, and gives it back.
const (
	glanceBegin = "\x1b[?1049h\x1b[2J\x1b[?25l"
	glanceEnd   = "\x1b[0m\x1b[?25h\x1b[?1049l"
	stillHere   = "\x1b[?25l"
)

// glance is the Monitor, or the far view, on a viewer's terminal. It has the
// rig's state and nothing of the main screen; all it can do to the rig is what
// the settings let viewers do. One goroutine uses it.
type glance struct {
	rig     *rig.Rig
	desk    *desk.Desk
	screen  desk.Screen
	frame   widget.Frame
	profile colorprofile.Profile
	far     bool
	asked   time.Time // when the first key to stop the take came
	marks   *rate.Limiter
	start   func(f func())
	said    chan error // of what was started
}

func newGlance(r *rig.Rig, env []string, start func(f func())) *glance {
	g := &glance{rig: r, desk: desk.NewDesk(r, nil), profile: colorprofile.Env(env), marks: rate.NewLimiter(marksASecond, marksASecond),
		start: start, said: make(chan error, 1)}
	g.screen = monitor.New(g.desk)
	g.frame.Canvas, g.frame.Theme = &canvas.Canvas{}, theme.New(g.desk.Settings.Theme, g.profile)
	return g
}

// Glance gives what shows a rig to viewers; start starts goroutines.
func Glance(r *rig.Rig, start func(f func())) func(share.Viewer) error {
	return func(v share.Viewer) error { return newGlance(r, v.Env, start).show(v) }
}

// show shows the rig until the viewer leaves. It waits for the viewer's
// terminal, and while it does nothing else waits for it.
func (g *glance) show(v share.Viewer) error {
	typed := make(chan []byte)
	over := make(chan struct{})
	defer close(over)
	g.start(func() { read(v, typed, over) })
	p := canvas.NewPainter(v.Picture)
	p.Begin(glanceBegin)
	defer func() { _, _ = v.Picture.Write([]byte(glanceEnd)) }()
	tick, alive := time.NewTicker(glanceEvery), time.NewTicker(aliveEvery)
	defer tick.Stop()
	defer alive.Stop()
	for {
		select {
		case <-v.Gone:
			return nil
		case size := <-v.Sizes:
			g.frame.Resize(size.Columns, size.Rows)
		case keys, open := <-typed:
			if !open || g.keys(string(keys)) {
				return nil
			}
		case err := <-g.said:
			g.desk.Fail(err)
		case <-alive.C:
			p.Send(stillHere)
			p.Paint()
		case <-tick.C:
			g.desk.Tick(glanceFrames)
			g.draw()
			p.Show(g.frame.Canvas, g.frame.Palette)
			p.Paint()
		}
	}
}

// read hands on what is typed.
func read(v share.Viewer, typed chan<- []byte, over <-chan struct{}) {
	defer close(typed)
	for {
		b := make([]byte, 64)
		n, err := v.Keys.Read(b)
		if err != nil {
			return
		}
		select {
		case typed <- b[:n]:
		case <-over:
			return
		}
	}
}

const (
	ctrlC = "\x03"
	ctrlD = "\x04"
	ctrlR = "\x12"
)

// keys answers what came at once: keys one by one, but what begins with an
// escape is a single one.
func (g *glance) keys(typed string) (leaves bool) {
	if strings.HasPrefix(typed, "\x1b") {
		return g.key(typed)
	}
	for i := range len(typed) {
		if g.key(typed[i : i+1]) {
			return true
		}
	}
	return false
}

// key answers a key, and tells whether the viewer leaves. What is no
// key of a glance does nothing, but from the far view any leads back.
func (g *glance) key(typed string) (leaves bool) {
	if typed == ctrlC || typed == ctrlD {
		return true
	}
	if g.far {
		g.far = false
		return false
	}
	switch typed {
	case "q":
		return true
	case "z":
		g.far = true
	case "t":
		g.frame.Theme = theme.New(theme.Next(g.frame.Name), g.profile)
	case "m":
		g.mark()
	case ctrlR:
		g.rollOrStop()
	}
	return false
}

// mark marks this moment of the take, where viewers may.
func (g *glance) mark() {
	g.desk.Refresh()
	switch {
	case !g.may(presets.ViewersMark) && !g.may(presets.ViewersRoll):
		g.desk.Say("Viewers may only look: Setup on the laptop lets them mark")
	case !g.desk.Rec.Rolling:
		g.desk.Say("A marker needs a rolling take")
	case g.marks.Allow():
		rec := g.rig.Recorder()
		rec.MarkAt(rec.Here(), "marker")
		g.desk.Say("Marked")
	}
}

// rollOrStop begins a take or its countdown, calls that off, or stops the take
// on the second press, where viewers may.
func (g *glance) rollOrStop() {
	g.desk.Refresh()
	d := g.desk
	switch {
	case !g.may(presets.ViewersRoll):
		d.Say("Viewers may not roll: Setup on the laptop lets them")
	case d.Count.On:
		g.rig.CallOff()
		d.Say("Called off: nothing rolls")
	case !d.Rec.Rolling && d.Settings.CountdownS > 0:
		d.Fail(g.rig.CountDown())
	case !d.Rec.Rolling:
		g.begin(func() error {
			_, err := g.rig.Roll(take.What{Scene: d.Settings.Recording.Scene})
			return desk.NotRolling(err)
		})
	case d.At.Sub(g.asked) < sureAfter:
	case d.At.Sub(g.asked) > sureFor:
		g.asked = d.At
		d.Say("ctrl-r again stops " + d.Rec.Take.Title())
	default:
		g.asked = time.Time{}
		g.begin(func() error { _, err := g.rig.Stop(); return err })
	}
}

// begin starts what may wait for a device or the disk.
func (g *glance) begin(do func() error) {
	g.start(func() {
		err := do()
		select {
		case g.said <- err:
		default:
		}
	})
}

// draw makes a whole picture; where the terminal is too small for the Monitor
// it is the far view.
func (g *glance) draw() {
	f, d := &g.frame, g.desk
	f.Hits = f.Hits[:0]
	f.Clear(f.Style(theme.Ink))
	all := f.Bounds()
	if g.far || all.W < minWidth || all.H < minHeight {
		far.Draw(f, all, d)
		return
	}
	top := 0
	if recRow(d) {
		drawRec(f, all.Row(top), d, nil)
		top++
	}
	drawStatus(f, all.Row(top), d, d.Alarms())
	g.screen.Draw(f, all.Rows(top+1, all.H-top-2))
	row := all.Row(all.H - 1)
	if d.Message.Text != "" {
		f.TextIn(row.Inset(1, 0), d.Message.Text, f.Strong(theme.Ink))
		return
	}
	f.TextIn(row.Inset(1, 0), g.words(), f.Style(theme.Dim))
}

// words name the keys that do something.
func (g *glance) words() string {
	const text = "z far view   t theme   q leave"
	switch {
	case g.may(presets.ViewersMark):
		return "m marker   " + text
	case g.may(presets.ViewersRoll):
		return "ctrl-r roll, stop   m marker   " + text
	}
	return text
}

func (g *glance) may(what string) bool { return g.desk.Settings.Viewers == what }
