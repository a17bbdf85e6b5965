package tui

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/keys"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/presets"
	"rollready/tui/canvas"
)

// find gives the cell at which a text begins on the screen.
func find(t *testing.T, r *root, text string) (x, y int) {
	t.Helper()
	for y, line := range strings.Split(look(r), "\n") {
		if before, _, ok := strings.Cut(line, text); ok {
			return canvas.Width(before), y
		}
	}
	require.Fail(t, "not on the screen: "+text, look(r))
	return 0, 0
}

// tab is the key that opens a screen.
func tab(r *root, name string) string {
	return format.FigureInt(slices.IndexFunc(r.all, func(s desk.Screen) bool { return s.Name() == name }) + 1)
}

// choose puts the choice of Setup, which is open, on a row.
func choose(r *root, row string) {
	press(r, "home")
	for range 40 {
		if strings.Contains(look(r), fmt.Sprintf("▸ %-16s ", row)) {
			return
		}
		press(r, "down")
	}
	panic("no such row: " + row)
}

func shows(t *testing.T, r *root, text string) {
	t.Helper()
	if got := look(r); !strings.Contains(got, text) {
		require.Fail(t, "not on the screen: "+text, got)
	}
}

func mouse(r *root, m tea.MouseMsg) {
	_, cmd := r.Update(m)
	settle(r, cmd)
	r.Update(desk.TickMsg{})
}

func grab(r *root, x, y int) { mouse(r, tea.MouseClickMsg{X: x, Y: y, Button: tea.MouseLeft}) }
func drag(r *root, x, y int) { mouse(r, tea.MouseMotionMsg{X: x, Y: y, Button: tea.MouseLeft}) }
func drop(r *root, x, y int) { mouse(r, tea.MouseReleaseMsg{X: x, Y: y}) }

// roll turns the wheel.
func roll(r *root, b tea.MouseButton, x, y int) { mouse(r, tea.MouseWheelMsg{X: x, Y: y, Button: b}) }

func chainOf(r *root) chain.Settings {
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.chain
}

func TestGainByKeyAndTyping(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "up")
	require.Equal(t, 3.5, chainOf(r).GainDB)
	press(r, "pgdown", "down")
	require.Equal(t, 0.0, chainOf(r).GainDB)
	for _, c := range []struct {
		text string
		want float64
	}{{"−6", -6}, {"+3.5", 3.5}, {"-7,5 dB", -7.5}, {" 2 ", 2}} {
		press(r, "enter", c.text, "enter")
		require.Equal(t, c.want, chainOf(r).GainDB, c.text)
	}
	press(r, "enter", "41", "enter")
	require.Equal(t, 2.0, chainOf(r).GainDB)
	shows(t, r, "choose -60 to 40 dB")
	press(r, "esc")
	require.Nil(t, r.desk.Prompt)
}

// TestKeysThatArriveTogether: one read of the terminal may carry several.
func TestKeysThatArriveTogether(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "hs")
	require.False(t, chainOf(r).HighPass.On())
	press(r, "enter")
	_, cmd := r.Update(tea.KeyPressMsg{Code: 'g', Mod: tea.ModAlt})
	settle(r, cmd)
	press(r, "up")
	require.Nil(t, r.desk.Prompt, "the escape closed the field")
	require.Equal(t, 3.5, chainOf(r).GainDB, "the g chose the gain")
}

// TestStartSaysThatThePresetWasChanged: the chain is as it was left, which may
// not be what its preset says.
func TestStartSaysThatThePresetWasChanged(t *testing.T) {
	for change, want := range map[float64]string{0: "preset indoor voice  ", 1: "preset indoor voice, changed"} {
		r := still(t, func(_ *fakeEngine, o *Options) {
			o.parts.Preset = presets.Preset{Name: "indoor voice", Strips: o.parts.Settings.Strips}
			c := o.parts.Preset.Chain()
			c.GainDB += change
			o.parts.Preset.Strips.Set(0, c)
		}, 120, 40)
		shows(t, r, want)
	}
}

// TestTypingTakesThePlaceOfWhatStoodThere; another key begins to change it.
func TestTypingTakesThePlaceOfWhatStoodThere(t *testing.T) {
	for _, c := range []struct {
		keys []string
		want string
	}{{[]string{"new"}, "new"}, {[]string{"end", "2"}, "indoor voice2"}, {[]string{"left", "x"}, "indoor voicxe"},
		{[]string{"backspace", "x"}, "x"}, {nil, "indoor voice"}} {
		r := still(t, nil, 80, 24)
		press(r, "2", "k")
		press(r, c.keys...)
		require.Equal(t, c.want, r.desk.Prompt.Field.Value())
	}
}

// TestLastRowKeepsWhatMatters: beside a long question what is typed can be seen,
// up to the cursor, and so can the answers.
func TestLastRowKeepsWhatMatters(t *testing.T) {
	long := strings.Repeat("Interface with a long name ", 4)
	for _, w := range []int{60, 80} {
		r := still(t, nil, w, 24)
		r.desk.Prompt = widget.NewPrompt(long+"reads:", "", func(string) (tea.Cmd, error) { return nil, errors.New(long + "is none: take another") })
		press(r, "-14.5")
		shows(t, r, "…  -14.5") // the label is cut, not the text
		press(r, "enter")
		shows(t, r, "is none: take another   -14.5") // nor by what is wrong with it, or why
		r.desk.Fail(errors.New(long + "is none: take another"))
		r.desk.Prompt = nil
		shows(t, r, "is none: take another")
		r.desk.Prompt = widget.NewPrompt("Note:", long+"end", nil)
		shows(t, r, "end")
		press(r, "home")
		shows(t, r, "Note:  Interface with")
		r.desk.Prompt = nil
		r.desk.Confirm("", "Feed the camera over "+long, "does, at once", nil)
		shows(t, r, "…   enter does, at once   esc no")
	}
}

// TestWordsThatNameKeys: letters that arrive together are text, whatever they
// spell.
func TestWordsThatNameKeys(t *testing.T) {
	for _, text := range []string{"end", "up", "wind at the end", "esc", "left or right", "enter", "tab"} {
		r := still(t, nil, 80, 24)
		r.desk.Prompt = widget.NewPrompt("Note:", "", func(string) (tea.Cmd, error) { return nil, nil })
		r.Update(tea.PasteMsg{Content: text})
		require.NotNil(t, r.desk.Prompt, text)
		require.Equal(t, text, r.desk.Prompt.Field.Value())
	}
}

func TestFiltersByKeyAndTyping(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "h", "up")
	require.Equal(t, filter.Cut{Hz: 90, Slope: 24}, chainOf(r).HighPass)
	press(r, "s")
	require.Equal(t, filter.Cut{}, chainOf(r).HighPass)
	press(r, "s")
	require.Equal(t, filter.Cut{Hz: 90, Slope: 6}, chainOf(r).HighPass, "the cutoff is remembered")
	press(r, "enter", "120", "enter")
	require.Equal(t, filter.Cut{Hz: 120, Slope: 6}, chainOf(r).HighPass)
	press(r, "l", "enter", "8k", "enter")
	require.Equal(t, filter.Cut{Hz: 8000, Slope: 12}, chainOf(r).LowPass)
	press(r, "enter", "off", "enter")
	require.False(t, chainOf(r).LowPass.On())
	press(r, "enter", "9000/18", "enter")
	require.Equal(t, filter.Cut{Hz: 9000, Slope: 18}, chainOf(r).LowPass)
}

// TestDragIsHeld: the pressed control keeps the mouse until the release, also
// outside, and stops at the ends.
func TestDragIsHeld(t *testing.T) {
	r := still(t, nil, 80, 24)
	x, y := find(t, r, "◆─ +3.0 dB")
	grab(r, x, y)
	require.Equal(t, 3.0, chainOf(r).GainDB, "a press changes nothing")
	drag(r, x+4, y-9)
	require.InDelta(t, 3+4*100.0/63, chainOf(r).GainDB, 0.5)
	drag(r, 500, 3)
	require.Equal(t, chain.MaxGainDB, chainOf(r).GainDB)
	drag(r, -500, 3)
	require.Equal(t, chain.MinGainDB, chainOf(r).GainDB)
	drop(r, x, y)
	require.Equal(t, 3.0, chainOf(r).GainDB)
	drag(r, x+9, y)
	require.Equal(t, 3.0, chainOf(r).GainDB, "after the release nothing is held")
}

func TestLostReleaseEnds(t *testing.T) {
	for name, end := range map[string]tea.Msg{
		"focus lost": tea.BlurMsg{}, "resized": tea.WindowSizeMsg{Width: 80, Height: 24}, "resumed": tea.ResumeMsg{},
	} {
		r := still(t, nil, 80, 24)
		x, y := find(t, r, "◆─ +3.0 dB")
		grab(r, x, y)
		r.Update(end)
		drag(r, x+9, y)
		require.Equal(t, 3.0, chainOf(r).GainDB, name)
	}
	r := still(t, nil, 80, 24)
	x, y := find(t, r, "◆─ +3.0 dB")
	grab(r, x, y)
	grab(r, 40, 12) // a press elsewhere
	drag(r, x+9, y)
	require.Equal(t, 3.0, chainOf(r).GainDB, "next press")
}

func TestDragCutoffFollowsTheBands(t *testing.T) {
	r := still(t, nil, 120, 40)
	x, y := find(t, r, "◆━ 80 Hz")
	oneK, _ := find(t, r, "1k")
	grab(r, x, y)
	drag(r, oneK, y)
	require.InDelta(t, 1000, chainOf(r).HighPass.Hz, 150, "dragged under the 1 kHz band")
}

func TestDragSlope(t *testing.T) {
	r := still(t, nil, 80, 24)
	x, y := find(t, r, "24 dB/oct")
	grab(r, x+1, y)
	require.Equal(t, 24, chainOf(r).HighPass.Slope, "a press changes nothing")
	drag(r, x-7, y)
	require.Equal(t, filter.Cut{Hz: 80, Slope: 12}, chainOf(r).HighPass)
	drag(r, -300, 2)
	require.False(t, chainOf(r).HighPass.On())
	drag(r, 300, 2)
	drop(r, 300, 2)
	require.Equal(t, filter.Cut{Hz: 80, Slope: 24}, chainOf(r).HighPass)
	x, y = find(t, r, "12 dB/oct")
	roll(r, tea.MouseWheelUp, x, y)
	require.Equal(t, 18, chainOf(r).LowPass.Slope)
}

func TestAnotherMicrophoneCannotBeMissed(t *testing.T) {
	r := still(t, func(e *fakeEngine, _ *Options) {
		e.status.Notice = "USB interface is gone: this is the built-in microphone"
	}, 80, 24)
	shows(t, r, "this is the built-in microphone")
	press(r, tab(r, setupName))
	shows(t, r, "this is the built-in microphone")
}

func TestWheelAndWords(t *testing.T) {
	r := still(t, nil, 80, 24)
	x, y := find(t, r, "◆─ +3.0 dB")
	roll(r, tea.MouseWheelUp, x, y)
	require.Equal(t, 3.5, chainOf(r).GainDB)
	x, y = find(t, r, "output")
	grab(r, x, y)
	drop(r, x, y)
	require.Equal(t, dsp.TapInput, r.desk.Settings.View.BandTap)
	x, y = find(t, r, " 2 ")
	grab(r, x+1, y)
	drop(r, x+1, y)
	require.Equal(t, presetsName, r.all[r.open].Name())
}

func TestBandCursor(t *testing.T) {
	r := still(t, nil, 80, 24)
	shows(t, r, "▲ 1 kHz  891–1.12 kHz")
	press(r, "right")
	shows(t, r, "▲ 1.25 kHz")
	press(r, "end", "right")
	shows(t, r, "▲ 20 kHz")
	press(r, "home")
	shows(t, r, "▲ 16 Hz")
	grab(r, 12, 14)
	drag(r, 400, 2)
	shows(t, r, "▲ 20 kHz")
}

func TestHoldKeys(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "]", "]", "]")
	require.True(t, math.IsInf(r.desk.Settings.View.HoldSeconds, 1))
	press(r, "o")
	require.Zero(t, r.desk.Settings.View.HoldSeconds)
	press(r, "o", "r")
	require.Equal(t, 2.0, r.desk.Settings.View.HoldSeconds)
	require.Equal(t, 1, r.opt.parts.Engine.(*fakeEngine).resets)
}

func TestThemesAndNoColour(t *testing.T) {
	r := still(t, nil, 80, 24)
	for _, want := range []string{"day", "mono", "night"} {
		press(r, "t")
		require.Equal(t, want, r.frame.Name)
		require.Equal(t, want, r.desk.Settings.Theme)
	}
	press(r, "t", "t")
	require.True(t, r.frame.Mono)
}

func TestTargetWindowIsSavedWithTheCamera(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "w", "ctrl+u", "-20 -10", "enter")
	require.Equal(t, -20.0, r.desk.Settings.View.Camera.TargetLowDBFS)
	c, err := r.opt.parts.Store.Cameras.Load("small camera")
	require.NoError(t, err)
	require.Equal(t, -10.0, c.Scale.TargetHighDBFS)
	press(r, "w", "ctrl+u", "-10 -20", "enter")
	shows(t, r, "the lower first")
}

func TestPresetsOnDisk(t *testing.T) {
	r := still(t, nil, 80, 24)
	shelf := r.opt.parts.Store.Presets
	press(r, "2", "k", "my voice", "enter")
	p, err := shelf.Load("my voice")
	require.NoError(t, err)
	require.Equal(t, chainOf(r), p.Chain())
	shows(t, r, "Kept my voice")

	press(r, "e", "close, soft", "enter")
	press(r, "c", "ctrl+u", "copy", "enter", "r", "ctrl+u", "third", "enter")
	p, err = shelf.Load("third")
	require.NoError(t, err)
	require.Equal(t, "close, soft", p.Note)

	press(r, "d")
	_, err = shelf.Load("third")
	require.Error(t, err)
	press(r, "u")
	_, err = shelf.Load("third")
	require.NoError(t, err)

	press(r, "c", "ctrl+u", "flat", "enter")
	shows(t, r, "flat exists")
	press(r, "esc")
	press(r, "c", "../out", "enter", "d", "q")
	require.NotNil(t, r.desk.Prompt, "a bad name keeps the field open: letters are no commands")
	require.Equal(t, "../outdq", r.desk.Prompt.Field.Value())
}

func TestSaveOverCanBeUndone(t *testing.T) {
	r := still(t, nil, 80, 24)
	old, err := r.opt.parts.Store.Presets.Load("indoor voice")
	require.NoError(t, err)
	press(r, "2", "k", "enter")
	shows(t, r, "There is a preset indoor voice.   enter writes over it")
	p, _ := r.opt.parts.Store.Presets.Load("indoor voice")
	require.Equal(t, old, p, "not yet")
	for range widget.FramesPerSecond { // a key held down is no answer
		frame(r)
	}
	press(r, "enter")
	p, _ = r.opt.parts.Store.Presets.Load("indoor voice")
	require.Equal(t, 3.0, p.Chain().GainDB)
	press(r, "u")
	p, _ = r.opt.parts.Store.Presets.Load("indoor voice")
	require.Equal(t, old, p)
}

func TestTakePreset(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "2", "home", "enter")
	require.Equal(t, chain.Settings{}, chainOf(r), "flat")
	require.Equal(t, "flat", r.desk.Settings.Preset)
	press(r, "1", "up")
	shows(t, r, "flat, changed")
}

func TestSetup(t *testing.T) {
	r := still(t, nil, 80, 24)
	switched := ""
	r.opt.parts.Switch = func(input, channels string) error {
		switched = input + "/" + channels
		if input == "built-in" {
			return errors.New("busy")
		}
		return nil
	}
	press(r, tab(r, setupName), "enter")
	shows(t, r, "Built-in microphone")
	press(r, "down", "enter")
	shows(t, r, "busy; the present input stays")
	press(r, "enter", "end", "enter")
	require.Equal(t, "demo/", switched)
	require.Equal(t, "demo", r.desk.Settings.Input)
	choose(r, "Channels")
	press(r, "right")
	require.Equal(t, "demo/mix", switched)
	choose(r, "Camera")
	press(r, "enter", "enter")
	require.Equal(t, "camera", r.desk.Camera.Name)
	choose(r, "Line-up offset")
	press(r, "enter", "ctrl+u", "-3.5", "enter")
	require.Equal(t, -3.5, r.desk.Settings.View.Camera.OffsetDB)
	choose(r, "Ballistics")
	press(r, "right")
	require.Equal(t, dsp.PPMTypeI, r.desk.Settings.View.Ballistics)
}

// TestAlertsAreChosen: each kind has its row; a notice of a stopped take is all
// that is on at first.
func TestAlertsAreChosen(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Alerts = presets.DefaultSettings().Alerts }, 120, 40)
	press(r, tab(r, setupName))
	for kind, name := range []string{"Alert: stopped", "Alert: input", "Alert: clipping", "Alert: silence", "Alert: low", "Alert: camera"} {
		choose(r, name)
		if kind > 0 {
			require.Zero(t, r.desk.Settings.Alerts[kind], name)
			press(r, "right")
		}
		require.Equal(t, presets.Notification, r.desk.Settings.Alerts[kind], name)
		press(r, "left", "left")
		require.Equal(t, presets.Bell|presets.Notification|presets.Earcon, r.desk.Settings.Alerts[kind], name)
		shows(t, r, "bell, notice, earcon")
	}
}

func TestReminder(t *testing.T) {
	r := still(t, screenCases()["reminder"].set, 80, 24)
	shows(t, r, "manual, 3 of 30")
	press(r, "n", "check batteries", "enter")
	c, err := r.opt.parts.Store.Cameras.Load("small camera")
	require.NoError(t, err)
	require.Contains(t, c.Reminders, "check batteries")
	press(r, "end", "d")
	require.NotContains(t, r.desk.Camera.Reminders, "check batteries")
	press(r, "u")
	require.Contains(t, r.desk.Camera.Reminders, "check batteries")
	press(r, "home", "space")
	shows(t, r, "[✓]  Mic level")
	press(r, "x", "enter")
	require.Equal(t, monitorName, r.all[r.open].Name())
	c, _ = r.opt.parts.Store.Cameras.Load("small camera")
	require.True(t, c.SkipCard)
}

// TestStartsWhereItEnded: the card comes first unless it stays away.
func TestStartsWhereItEnded(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = setupName }, 80, 24)
	require.Equal(t, setupName, r.all[r.open].Name())
	r = still(t, func(_ *fakeEngine, o *Options) {
		o.parts.Settings.Screen, o.parts.Camera.SkipCard = setupName, false
	}, 80, 24)
	require.Equal(t, reminderName, r.all[r.open].Name())
}

// TestEveryChangeIsKept: what was changed by key is in the settings file once
// the keeper has closed.
func TestEveryChangeIsKept(t *testing.T) {
	r := still(t, nil, 80, 24)
	press(r, "up", "i", "t", tab(r, setupName))
	require.NoError(t, r.opt.parts.Keeper.Close())
	s, err := r.opt.parts.Store.Settings()
	require.NoError(t, err)
	require.Equal(t, 3.5, s.Chain().GainDB)
	require.Equal(t, dsp.TapInput, s.View.BandTap)
	require.Equal(t, "day", s.Theme)
	require.Equal(t, setupName, s.Screen)
}

type brokenScreen struct {
	desk.Screen
	where string
}

func (b *brokenScreen) Keys() keys.Table {
	return keys.Table{{Press: "x", Do: func(string) tea.Cmd {
		if b.where == "update" {
			panic("in update")
		}
		return func() tea.Msg {
			if b.where == "command" {
				panic("in command")
			}
			return nil
		}
	}}}
}

func (b *brokenScreen) Draw(f *widget.Frame, area canvas.Rect) {
	if b.where == "draw" {
		panic("in draw")
	}
}

// TestPanicEndsInOrder: wherever it happens, the program ends by itself, so
// that the terminal is left clean before anything is said.
func TestPanicEndsInOrder(t *testing.T) {
	for _, where := range []string{"update", "command", "draw"} {
		r := still(t, nil, 80, 24)
		r.all[r.open] = &brokenScreen{r.all[r.open], where}
		_, cmd := r.Update(letter('x'))
		if where == "command" {
			_, cmd = r.Update(cmd())
		}
		require.NotNil(t, r.crashed, where)
		require.Equal(t, "in "+where, r.crashed.cause)
		require.Equal(t, tea.QuitMsg{}, cmd())
	}
}

func TestUnreadablePresetIsSaid(t *testing.T) {
	r := still(t, nil, 80, 24)
	broken := filepath.Join(r.opt.parts.Store.Dir(), "presets", "odd.toml")
	require.NoError(t, os.WriteFile(broken, []byte("gain = {"), 0o644))
	press(r, tab(r, presetsName))
	shows(t, r, "odd")
	require.True(t, r.desk.Message.Bad)
}
