package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"rollready/capture/rig"
	"slices"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/howl"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// still is a program at one moment, with the disk's answers in.
func still(t testing.TB, change func(*fakeEngine, *Options), w, h int) *root {
	t.Helper()
	e := newFake()
	opt := fakeOptions(t, e)
	if change != nil {
		change(e, &opt)
	}
	opt.clock = func() tea.Msg { return nil }
	t.Cleanup(func() { _ = opt.parts.Keeper.Close() }) // before the folder goes it may write to
	r := newRoot(opt, termenv.TrueColor)
	settle(r, r.Init())
	r.Update(tea.WindowSizeMsg{Width: w, Height: h})
	r.Update(tickMsg{})
	return r
}

// settle runs commands and what follows from them, as the program would.
func settle(r *root, cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch m := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range m {
			settle(r, c)
		}
	case batteryMsg: // the next reading is half a minute away
		r.desk.refresh()
	default:
		_, next := r.Update(m)
		settle(r, next)
	}
}

func press(r *root, keys ...string) {
	named := map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
		"right": tea.KeyRight, "pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown, "home": tea.KeyHome, "end": tea.KeyEnd, "tab": tea.KeyTab,
		"backspace": tea.KeyBackspace, "ctrl+u": tea.KeyCtrlU, "ctrl+c": tea.KeyCtrlC, "ctrl+r": tea.KeyCtrlR, "ctrl+t": tea.KeyCtrlT, "ctrl+o": tea.KeyCtrlO, "space": tea.KeySpace}
	for _, k := range keys {
		m := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
		if t, ok := named[k]; ok {
			m = tea.KeyMsg{Type: t}
			if k == "space" {
				m.Runes = []rune{' '}
			}
		}
		_, cmd := r.Update(m)
		settle(r, cmd)
	}
	frame(r)
}

// screenCase is a moment worth a look: how the program starts, and what is
// pressed then.
type screenCase struct {
	set  func(*fakeEngine, *Options)
	keys []string
}

// at brings a program to the moment, with a change of its own.
func (c screenCase) at(t testing.TB, change func(*fakeEngine, *Options), w, h int) *root {
	r := still(t, func(e *fakeEngine, o *Options) {
		if c.set != nil {
			c.set(e, o)
		}
		change(e, o)
	}, w, h)
	for _, k := range c.keys {
		r.View() // a key answers what was seen
		press(r, k)
	}
	r.desk.message = message{}
	r.Update(tickMsg{})
	return r
}

// then adds keys to a moment.
func (c screenCase) then(keys ...string) screenCase {
	c.keys = append(c.keys, keys...)
	return c
}

// frame draws one, with all that follows from it.
func frame(r *root) {
	_, cmd := r.Update(tickMsg{})
	settle(r, cmd)
}

func screenCases() map[string]screenCase {
	on := func(screen string) screenCase {
		return screenCase{set: func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = screen }}
	}
	return map[string]screenCase{
		"monitor": {},
		"changed": screenCase{}.then("up"),
		"presets": on(presetsName),
		"setup":   on(setupName),
		"heard": {set: func(_ *fakeEngine, o *Options) {
			s := o.parts.Sound.(*fakeSound)
			s.plugIn()
			s.SetMute(false)
			o.parts.Settings.Chain.Limit = chain.Limit{On: true, CeilingDBTP: -1.5}
		}},
		"howl": {set: func(_ *fakeEngine, o *Options) {
			s := o.parts.Sound.(*fakeSound)
			s.plugIn()
			s.ways[rig.Headphones].Alarm = howl.Alarm{Hz: 1240, DBPerSecond: 41}.String()
		}},
		"compare":  on(comparisonName),
		"phrase":   comparedAloud().then("c", "b"),
		"trial":    comparedAloud().then("b", "]", "x", "enter", "left", "right", "left"),
		"reminder": {set: func(_ *fakeEngine, o *Options) { o.parts.Camera.SkipCard = false }},
		"lost": {set: func(e *fakeEngine, _ *Options) {
			e.status.Lost, e.status.LostFor = true, 7e9
		}},
		"demo":            {set: func(e *fakeEngine, _ *Options) { e.status.Kind, e.status.Source = capture.Demo, "demo scene" }},
		"check":           on(checkName),
		"check-quiet":     checkCase(preroll.Progress{Step: preroll.Quiet, Share: 0.3, Left: 3.5, Trouble: preroll.Talking}, "", nil),
		"check-speak":     checkCase(preroll.Progress{Step: preroll.Speak, Share: 0.62, Left: 3.8}, "", nil),
		"check-ready":     checkCase(preroll.Progress{Step: preroll.Done, Share: 1}, "", heardWell),
		"check-bad":       checkCase(preroll.Progress{Step: preroll.Done, Share: 1}, "", heardBadly),
		"roomtone":        checkCase(preroll.Progress{Step: preroll.Done, Share: 1}, "", heardWell).then("a", "1"),
		"lineup":          lineCase(),
		"lineup-tone":     lineCase("space", "+"),
		"lineup-sequence": lineCase("s"),
		"lineup-clip":     lineCase("f", "clip.wav", "enter"),
		"lineup-plan":     lineCase("down", "down", "down", "down", "down", "down", "down", "enter", "+4dBu", "enter", "down", "enter", "ctrl+u", "20", "enter", "down", "enter", "low=-30dBV, line=2V, high=unknown", "enter"),
		"reminder-other": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Camera.SkipCard, o.parts.Camera.LinedUpWith, o.parts.Camera.LinedUpPreset = false, "Line out 3", "outdoor wind"
		}},
		"reminder-volume": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Camera.SkipCard = false
			o.parts.Line.(*fakeLine).turn(at(-12))
		}},
		"reminder-full": {set: fullCard},
		"reminder-end":  screenCase{set: fullCard}.then("end"),
		"reminder-muted": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Camera.SkipCard = false
			o.parts.Line.(*fakeLine).turn(mixer.Setting{Told: true, Muted: true})
		}},
		"lineup-muted": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen = lineupName
			o.parts.Line.(*fakeLine).turn(mixer.Setting{Told: true, Muted: true})
		}, keys: []string{"space"}},
		"lineup-balance": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen = lineupName
			o.parts.Line.(*fakeLine).turn(mixer.Setting{Told: true, Volume: presets.Volume{Known: true, LoudestDB: -3, QuietestDB: -17.2}})
		}, keys: []string{"space"}},
		"volume": {set: func(_ *fakeEngine, o *Options) { o.parts.Sound.(*fakeSound).feedCamera(at(-12)) }},
		"volume-muted": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Sound.(*fakeSound).plugIn()
			o.parts.Sound.(*fakeSound).feedCamera(mixer.Setting{Told: true, Muted: true})
		}},
		"rolling": {set: func(e *fakeEngine, o *Options) { rollFake(o.parts.Recorder.(*fakeRecorder), 763*time.Second) }},
		"alarm": {set: func(e *fakeEngine, o *Options) {
			rec := o.parts.Recorder.(*fakeRecorder)
			o.parts.Settings.Screen = takesName
			rollFake(rec, 3762*time.Second, take.Alarm{Kind: verdict.InputClipped, Text: "input clipped: turn the interface's gain down"},
				take.Alarm{Kind: verdict.DiskLow, Text: "disk: room for 8:12 more"})
			rec.status.Take.Levels.Clips, rec.status.Take.Lag, rec.status.DiskLeft = 3, 960, 492*time.Second
		}},
		"takes": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen, o.parts.Recorder.(*fakeRecorder).takes = takesName, someTakes()
		}},
		"over": {set: func(e *fakeEngine, o *Options) {
			e.clipped = 3
			o.parts.Settings.Chain.GainDB = 12
			o.parts.Battery = func() power.Battery { return power.Battery{State: power.Draining, Percent: 9} }
			o.parts.Advise = func(dsp.Reading, chain.Settings, camera.Scale) advice.Advice {
				return advice.Advice{Text: "The input overloads: turn the interface's preamp down.", Severity: advice.Stop}
			}
		}},
	}
}

// comparedAloud is Compare with the headphones open.
func comparedAloud() screenCase {
	return screenCase{set: func(_ *fakeEngine, o *Options) {
		o.parts.Settings.Screen = comparisonName
		o.parts.Sound.(*fakeSound).plugIn()
		o.parts.Sound.SetMute(false)
	}}
}

// TestGolden compares frames with those that were looked at and found good.
// UPDATE_GOLDEN=1 writes them anew: look at them before committing (cat shows
// them in a terminal with true colour).
func TestGolden(t *testing.T) {
	n := 0
	for name, moment := range screenCases() {
		for _, theme := range []string{"night", "day", "mono"} {
			for _, size := range goldenSizes(name) {
				file := filepath.Join("testdata", fmt.Sprintf("%s-%s-%dx%d.txt", name, theme, size[0], size[1]))
				r := moment.at(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Theme = theme }, size[0], size[1])
				if os.Getenv("UPDATE_GOLDEN") != "" {
					require.NoError(t, os.MkdirAll("testdata", 0o755))
					require.NoError(t, os.WriteFile(file, []byte(r.View()+"\n"), 0o644))
				}
				want, err := os.ReadFile(file)
				require.NoError(t, err)
				require.Equal(t, string(want), r.View()+"\n", file)
				n++
			}
		}
	}
	require.Equal(t, (len(screenCases())*3+len(smallToo))*3, n, "frames compared")
}

// smallToo are moments that are looked at on the smallest screen as well.
var smallToo = [...]string{"reminder", "reminder-full", "reminder-end", "lineup", "lineup-plan", "lineup-clip", "check-bad", "setup"}

func goldenSizes(name string) [][2]int {
	sizes := [][2]int{{80, 24}, {120, 40}, {200, 60}}
	if slices.Contains(smallToo[:], name) {
		sizes = append(sizes, [2]int{60, 18})
	}
	return sizes
}
