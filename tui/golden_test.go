package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rollready/capture/rig"
	"rollready/tui/desk"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/take"
	"rollready/dsp/chain"
	"rollready/dsp/howl"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// The screens by their names on the tabs.
const (
	monitorName    = "Monitor"
	presetsName    = "Presets"
	checkName      = "Check"
	comparisonName = "Compare"
	lineupName     = "Line-up"
	takesName      = "Takes"
	setupName      = "Setup"
	reminderName   = "Reminder"
)

// still is a program at one moment, with the disk's answers in.
func still(t testing.TB, change func(*fakeEngine, *Options), w, h int) *root {
	t.Helper()
	e := newFake()
	opt := fakeOptions(t, e)
	if change != nil {
		change(e, &opt)
	}
	t.Cleanup(func() { _ = opt.parts.Keeper.Close() }) // before the folder goes it may write to
	r := newRoot(opt, colorprofile.TrueColor)
	settle(r, r.Init())
	r.Update(tea.WindowSizeMsg{Width: w, Height: h})
	r.Update(desk.TickMsg{})
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
	case desk.BatteryMsg: // the next reading is half a minute away
		r.desk.Refresh()
	default:
		_, next := r.Update(m)
		settle(r, next)
	}
}

// look gives what shows as lines.
func look(r *root) string {
	r.stale = true
	r.show()
	return r.frame.Canvas.String()
}

// named are the keys that are no letter.
var named = map[string]tea.KeyPressMsg{"enter": {Code: tea.KeyEnter}, "esc": {Code: tea.KeyEscape}, "up": {Code: tea.KeyUp}, "down": {Code: tea.KeyDown},
	"left": {Code: tea.KeyLeft}, "right": {Code: tea.KeyRight}, "pgup": {Code: tea.KeyPgUp}, "pgdown": {Code: tea.KeyPgDown}, "home": {Code: tea.KeyHome},
	"end": {Code: tea.KeyEnd}, "tab": {Code: tea.KeyTab}, "backspace": {Code: tea.KeyBackspace}, "space": {Code: tea.KeySpace, Text: " "}}

func letter(r rune) tea.KeyPressMsg { return tea.KeyPressMsg{Code: r, Text: string(r)} }

// press presses keys by name, or types a text.
func press(r *root, keys ...string) {
	for _, k := range keys {
		msgs := []tea.KeyPressMsg{named[k]}
		if name, ok := strings.CutPrefix(k, "ctrl+"); ok {
			msgs[0] = tea.KeyPressMsg{Code: rune(name[0]), Mod: tea.ModCtrl}
		} else if msgs[0].Code == 0 {
			msgs = nil
			for _, one := range k {
				msgs = append(msgs, letter(one))
			}
		}
		for _, m := range msgs {
			_, cmd := r.Update(m)
			settle(r, cmd)
		}
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
		look(r) // a key answers what was seen
		press(r, k)
	}
	r.desk.Message = desk.Message{}
	r.Update(desk.TickMsg{})
	return r
}

// then adds keys to a moment.
func (c screenCase) then(keys ...string) screenCase {
	c.keys = append(c.keys, keys...)
	return c
}

// frame draws one, with all that follows from it.
func frame(r *root) {
	_, cmd := r.Update(desk.TickMsg{})
	settle(r, cmd)
}

func screenCases() map[string]screenCase {
	on := func(screen string) screenCase {
		return screenCase{set: func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = screen }}
	}
	return map[string]screenCase{
		"monitor": {},
		"changed": screenCase{}.then("up"),
		"people":  screenCase{}.then("k", "y", "host", "enter", "n", "y", "guest", "enter", "up", "up"),
		"presets": on(presetsName),
		"setup":   on(setupName),
		"heard": {set: func(_ *fakeEngine, o *Options) {
			s := o.parts.Sound.(*fakeSound)
			s.plugIn()
			s.SetMute(false)
			o.parts.Settings.Strips.Limit = chain.Limit{On: true, CeilingDBTP: -1.5}
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
		"check-turn":      ofTwo(checkCase(preroll.Progress{Step: preroll.Speak, Strip: 2, Share: 0.3, Left: 7}, "", nil)),
		"check-two":       ofTwo(checkCase(preroll.Progress{Step: preroll.Done, Share: 1}, "", heardTwo)),
		"roomtone":        checkCase(preroll.Progress{Step: preroll.Done, Share: 1}, "", heardWell).then("a", "1"),
		"lineup":          lineCase(),
		"lineup-tone":     lineCase("space", "enter", "+"),
		"lineup-sequence": lineCase("s", "enter"),
		"lineup-clip":     lineCase("f", "clip.wav", "enter"),
		"lineup-plan":     lineCase("down", "down", "down", "down", "down", "down", "down", "enter", "+4dBu", "enter", "down", "enter", "ctrl+u", "20", "enter", "down", "enter", "low=-30dBV, line=2V, high=unknown", "enter"),
		"reminder-other": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Camera.SkipCard, o.parts.Camera.LinedUpWith, o.parts.Camera.LinedUpPreset = false, presets.Output{Name: "Line out 3"}, "outdoor wind"
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
		}, keys: []string{"space", "enter"}},
		"lineup-balance": {set: func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen = lineupName
			o.parts.Line.(*fakeLine).turn(mixer.Setting{Told: true, Volume: presets.Volume{Known: true, LoudestDB: -3, QuietestDB: -17.2}})
		}, keys: []string{"space", "enter"}},
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
			e.clipped, e.overs = 3, 12
			c := o.parts.Settings.Chain()
			c.GainDB = 12
			o.parts.Settings.Strips.Set(0, c)
			o.parts.Battery = func() power.Battery { return power.Battery{State: power.Draining, Percent: 9} }
			o.parts.Judge = weighs(verdict.Clipped(verdict.Where{}, 3))
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

// TestGolden compares pictures with those that were looked at and found good:
// what stands where. How it looks is the themes' and the palettes' test.
// UPDATE_GOLDEN=1 writes them anew: look at each before committing.
func TestGolden(t *testing.T) {
	for name, moment := range screenCases() {
		for _, size := range goldenSizes(name) {
			t.Run(fmt.Sprintf("%s-%dx%d", name, size[0], size[1]), func(t *testing.T) {
				file := filepath.Join("testdata", strings.TrimPrefix(t.Name(), "TestGolden/")+".txt")
				r := moment.at(t, func(*fakeEngine, *Options) {}, size[0], size[1])
				got := look(r) + "\n"
				if os.Getenv("UPDATE_GOLDEN") != "" {
					require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				}
				want, err := os.ReadFile(file)
				require.NoError(t, err)
				require.Equal(t, string(want), got, file)
			})
		}
	}
}

// TestNoGoldenIsLeftOver: each belongs to a moment.
func TestNoGoldenIsLeftOver(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txt")
	require.NoError(t, err)
	require.Len(t, files, len(screenCases())*3+len(smallToo))
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
