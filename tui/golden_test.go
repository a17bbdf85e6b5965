package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/power"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/howl"
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
		r.desk.Battery = power.Battery(m)
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
	_, cmd := r.Update(tickMsg{})
	settle(r, cmd)
}

// screenCases are moments worth a look.
func screenCases() map[string]func(*fakeEngine, *Options) {
	on := func(screen string) func(*fakeEngine, *Options) {
		return func(_ *fakeEngine, o *Options) { o.Settings.Screen = screen }
	}
	return map[string]func(*fakeEngine, *Options){
		"monitor": nil,
		"presets": on(presetsName),
		"setup":   on(setupName),
		"heard": func(_ *fakeEngine, o *Options) {
			s := o.Sound.(*fakeSound)
			s.plugIn()
			s.SetMute(false)
			o.Settings.Chain.Limit = chain.Limit{On: true, CeilingDBTP: -1.5}
		},
		"howl": func(_ *fakeEngine, o *Options) {
			s := o.Sound.(*fakeSound)
			s.plugIn()
			s.ways[Headphones].Alarm = howl.Alarm{Hz: 1240, DBPerSecond: 41}.String()
		},
		"compare": on(comparisonName),
		"phrase": func(_ *fakeEngine, o *Options) {
			o.Settings.Screen = comparisonName
			s := o.Sound.(*fakeSound)
			s.plugIn()
			s.SetMute(false)
		},
		"trial": func(_ *fakeEngine, o *Options) {
			o.Settings.Screen = comparisonName
			o.Sound.(*fakeSound).plugIn()
			o.Sound.SetMute(false)
		},
		"reminder": func(_ *fakeEngine, o *Options) { o.Camera.SkipCard = false },
		"lost": func(e *fakeEngine, _ *Options) {
			e.status.Lost, e.status.LostFor = true, 7e9
		},
		"demo":    func(e *fakeEngine, _ *Options) { e.status.Kind, e.status.Source = capture.Demo, "demo scene" },
		"rolling": func(e *fakeEngine, o *Options) { rollFake(o.Recorder.(*fakeRecorder), 763*time.Second) },
		"alarm": func(e *fakeEngine, o *Options) {
			rec := o.Recorder.(*fakeRecorder)
			o.Settings.Screen = takesName
			rollFake(rec, 3762*time.Second, take.Alarm{Kind: take.Clipped, Text: "input clipped: turn the interface's gain down"},
				take.Alarm{Kind: take.DiskLow, Text: "disk: room for 8:12 more"})
			rec.status.Take.Levels.Clips, rec.status.Take.Lag, rec.status.DiskLeft = 3, 960, 492*time.Second
		},
		"takes": func(_ *fakeEngine, o *Options) {
			o.Settings.Screen, o.Recorder.(*fakeRecorder).takes = takesName, someTakes()
		},
		"over": func(e *fakeEngine, o *Options) {
			e.clipped = 3
			o.Settings.Chain.GainDB = 12
			o.Battery = func() power.Battery { return power.Battery{State: power.Draining, Percent: 9} }
			o.advise = func(dsp.Reading, chain.Settings, camera.Scale) advice.Advice {
				return advice.Advice{Text: "The input overloads: turn the interface's preamp down.", Severity: advice.Stop}
			}
		},
	}
}

// screenKeys are pressed before the look at some of them.
var screenKeys = map[string][]string{
	"phrase": {"c", "b"},
	"trial":  {"b", "]", "x", "enter", "left", "right", "left"},
}

// TestGolden compares frames with those that were looked at and found good.
// UPDATE_GOLDEN=1 writes them anew: look at them before committing (cat shows
// them in a terminal with true colour).
func TestGolden(t *testing.T) {
	n := 0
	for name, change := range screenCases() {
		for _, theme := range []string{"night", "day", "mono"} {
			for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
				file := filepath.Join("testdata", fmt.Sprintf("%s-%s-%dx%d.txt", name, theme, size[0], size[1]))
				r := still(t, func(e *fakeEngine, o *Options) {
					if change != nil {
						change(e, o)
					}
					o.Settings.Theme = theme
				}, size[0], size[1])
				if keys, ok := screenKeys[name]; ok {
					press(r, keys...)
					r.desk.message = message{}
				}
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
	require.Equal(t, 15*3*3, n, "frames compared")
}
