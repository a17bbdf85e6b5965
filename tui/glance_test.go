package tui

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/presets"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// glancing is a viewer of a program on the fake engine, on a terminal.
func glancing(t testing.TB, r *root, w, h int) *glance {
	t.Helper()
	g := newGlance(r.desk.Rig, []string{"TERM=xterm-256color", "COLORTERM=truecolor"}, func(f func()) { f() })
	g.frame.Resize(w, h)
	g.tick()
	return g
}

func (g *glance) tick() string {
	g.desk.Tick(glanceFrames)
	g.draw()
	return g.frame.Canvas.String()
}

// A viewer sees what the Monitor shows, and the far view, in a theme of its own;
// the main screen's stays. Where there is no room for the Monitor it is the far
// view.
func TestAGlance(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { rollFake(o.parts.Recorder.(*fakeRecorder), 763*time.Second) }, 80, 24)
	before := look(r)
	g := glancing(t, r, 80, 24)
	shown := g.tick()
	for _, text := range []string{"headroom", "○ REC  12A take 5  12:43", "USB interface", "z far view   t theme   q leave"} {
		require.Contains(t, shown, text)
	}
	require.NotContains(t, shown, "ctrl-r stop")
	name := g.frame.Name
	require.False(t, g.key("t"))
	require.Equal(t, theme.Next(name), g.frame.Name)
	require.False(t, g.key("z"))
	far := g.tick()
	require.NotContains(t, far, "headroom")
	require.False(t, g.key("q"), "leads back, and does nothing else")
	require.Equal(t, shown, g.tick())
	require.True(t, g.key("q"))
	require.True(t, g.key("\x03"))
	g.frame.Resize(45, 30)
	require.NotContains(t, g.tick(), "headroom")
	g.frame.Resize(0, 0)
	g.tick()
	require.Equal(t, before, look(r))
}

// Whatever is typed, a viewer who may only look changes nothing.
func TestAViewerOnlyLooks(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { rollFake(o.parts.Recorder.(*fakeRecorder), 763*time.Second) }, 80, 24)
	g := glancing(t, r, 80, 24)
	settings, rec := r.desk.Settings, r.desk.Rec
	random := rand.New(rand.NewPCG(8, 1))
	type_ := func(text string) {
		g.keys(text)
		if random.IntN(50) == 0 {
			g.tick()
		}
	}
	for b := range 256 {
		type_(string([]byte{byte(b)}))
	}
	for range 5000 {
		junk := make([]byte, random.IntN(12))
		for i := range junk {
			junk[i] = byte(random.Uint32())
		}
		type_(string(junk))
		type_([]string{"m", ctrlR, ctrlR, "\r", "\x1b[A", "0", ".", "\x1b[<0;4;4M"}[random.IntN(8)])
	}
	r.desk.Refresh()
	require.Equal(t, settings, r.desk.Settings)
	require.Equal(t, rec, r.desk.Rec)
}

// Rights take effect at once: one may mark, no more often than twice a second,
// or roll and stop as well, the latter asked once more.
func TestRightsOfViewers(t *testing.T) {
	now := time.Date(2024, 5, 17, 9, 0, 0, 0, time.UTC)
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Now = func() time.Time { return now } }, 80, 24)
	rec := r.opt.parts.Recorder.(*fakeRecorder)
	may := func(what string) { r.desk.Change(func(s *presets.Settings) { s.Viewers = what }) }
	g := glancing(t, r, 80, 24)
	may(presets.ViewersMark)
	require.Contains(t, g.tick(), "m marker")
	g.key("m")
	require.Contains(t, g.tick(), "A marker needs a rolling take")
	g.key(ctrlR)
	require.Contains(t, g.tick(), "Viewers may not roll")
	require.False(t, rec.Status().Rolling)
	may(presets.ViewersRoll)
	g.key(ctrlR)
	require.True(t, rec.Status().Rolling)
	for range 20 {
		g.key("m")
	}
	require.Len(t, rec.Status().Take.Markers, marksASecond)
	g.key(ctrlR)
	require.Contains(t, g.tick(), "ctrl-r again stops")
	require.True(t, rec.Status().Rolling)
	g.keys(ctrlR + ctrlR + ctrlR)
	require.True(t, rec.Status().Rolling, "held down")
	now = now.Add(sureFor + time.Second)
	g.key(ctrlR)
	require.True(t, rec.Status().Rolling, "too late: asked anew")
	now = now.Add(sureAfter)
	g.key(ctrlR)
	require.False(t, rec.Status().Rolling)
	r.desk.Change(func(s *presets.Settings) { s.CountdownS = 5 })
	g.key(ctrlR)
	require.Contains(t, g.tick(), "Rolls in 5 s")
	g.key(ctrlR)
	require.Contains(t, g.tick(), "Called off")
	may(presets.ViewersLook)
	g.key(ctrlR)
	require.False(t, r.desk.Rig.State().Count.On)
}

// TestSharedInSetup: where others may look, Setup says how, and shows the
// fingerprint whole.
func TestSharedInSetup(t *testing.T) {
	r := still(t, nil, 120, 40)
	press(r, tab(r, setupName))
	choose(r, "Shared at")
	shows(t, r, "not shared")
	r = still(t, func(_ *fakeEngine, o *Options) { o.Shared = fakeShared{} }, 120, 40)
	press(r, tab(r, setupName))
	choose(r, "Shared at")
	shows(t, r, "192.0.2.7:2222, 1 viewer")
	shows(t, r, "ssh -p 2222 192.0.2.7")
	require.Contains(t, strings.Join(strings.Fields(look(r)), ""), fakeShared{}.Fingerprint())
	choose(r, "Viewers may")
	press(r, "right", "right")
	require.Equal(t, presets.ViewersRoll, r.desk.Settings.Viewers)
	shows(t, r, "mark, roll and stop")
}

type fakeShared struct{}

func (fakeShared) Address() string     { return "192.0.2.7:2222" }
func (fakeShared) Fingerprint() string { return "SHA256:x9Zb0pLQbTqX8uJk3mVw5yHs2dRf7nGc1aEiOtUvYWz" }
func (fakeShared) Keys() string        { return "/home/me/.config/rollready/share/keys" }
func (fakeShared) Viewers() int        { return 1 }

// BenchmarkGlance is one picture for a viewer while everything moves; there are
// ten a second.
func BenchmarkGlance(b *testing.B) {
	r := still(b, func(e *fakeEngine, o *Options) { e.still = false }, 120, 40)
	g := glancing(b, r, 120, 40)
	p := canvas.NewPainter(discard{})
	p.Begin("")
	b.ReportAllocs()
	for b.Loop() {
		g.desk.Tick(glanceFrames)
		g.draw()
		p.Show(g.frame.Canvas, g.frame.Palette)
		p.Paint()
	}
}

type discard struct{}

func (discard) Write(b []byte) (int, error) { return len(b), nil }
