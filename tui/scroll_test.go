package tui

import (
	"fmt"
	"strings"
	"testing"

	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/screen/reminder"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/dsp/gainplan"
	"rollready/presets"
	"rollready/tui/canvas"
)

// fullCard is the reminder with both warnings and more lines than the smallest
// screen holds.
func fullCard(_ *fakeEngine, o *Options) {
	screenCases()["reminder-other"].set(nil, o)
	for i := range 9 {
		o.parts.Camera.Reminders = append(o.parts.Camera.Reminders, fmt.Sprintf("own line %d", i+1))
	}
}

// seen gathers all lines that show while a step is taken again and again.
func seen(r *root, step func()) string {
	var all strings.Builder
	for range 60 {
		for _, line := range strings.Split(look(r), "\n") {
			all.WriteString(strings.Trim(line, " ▴▾") + " ")
		}
		step()
	}
	return all.String()
}

// TestCautionsAreInReach: each line of the words of care can be brought into
// view on the smallest screens, by key and by wheel, and marks say so.
func TestCautionsAreInReach(t *testing.T) {
	for _, size := range [][2]int{{60, 18}, {80, 24}} {
		for name, step := range map[string]func(*root) func(){
			"down":   func(r *root) func() { return func() { press(r, "down") } },
			"pgdown": func(r *root) func() { return func() { press(r, "pgdown") } },
			"wheel": func(r *root) func() {
				return func() { roll(r, tea.MouseWheelDown, 30, 12) }
			},
		} {
			r := still(t, fullCard, size[0], size[1])
			shows(t, r, "more below")
			shows(t, r, "▾")
			all := seen(r, step(r))
			for _, text := range reminder.Cautions {
				for _, line := range format.Wrap(text, size[0]-4) {
					require.Contains(t, all, line, name)
				}
			}
			require.NotContains(t, look(r), "▾", "at the end")
			shows(t, r, "▴")
			press(r, "home")
			shows(t, r, "Before you roll")
			require.NotContains(t, look(r), "▴")
		}
	}
}

// TestCardKeepsTheChosenLineInSight wherever the keys go, and goes over the
// card first where the wheel took the line out of sight.
func TestCardKeepsTheChosenLineInSight(t *testing.T) {
	r := still(t, fullCard, 60, 18)
	shows(t, r, "▸[ ]  Mic level")
	for range 12 {
		press(r, "down")
		shows(t, r, "▸[ ]")
	}
	shows(t, r, "▸[ ]  own line 9")
	press(r, "end")
	shows(t, r, "sound exposure measurement.")
	press(r, "space")
	shows(t, r, "[✓]  own line 9")
	for range 40 {
		press(r, "up")
	}
	shows(t, r, "Before you roll")
	shows(t, r, "▸[ ]  Mic level")
	x, y := find(t, r, "Cable")
	grab(r, x, y)
	press(r, "home")
	shows(t, r, "[✓]  Cable")
}

// TestLineUpCautionsAreInReach: beside the rows of the line-up too.
func TestLineUpCautionsAreInReach(t *testing.T) {
	for _, name := range []string{"lineup", "lineup-tone", "lineup-sequence", "lineup-plan"} {
		for _, size := range [][2]int{{60, 18}, {80, 24}} {
			r := screenCases()[name].at(t, func(*fakeEngine, *Options) {}, size[0], size[1])
			if size[0] < 80 || name == "lineup-plan" { // TestCardsFitASmallTerminal
				shows(t, r, "more below")
			}
			left := min(max((size[0]-2)*2/5, 30), 56)
			for _, step := range []func(){
				func() { roll(r, tea.MouseWheelDown, size[0]-10, 10) },
				func() { press(r, "pgdown") },
			} {
				all := seen(r, step)
				for _, text := range gainplan.Cautions() {
					for _, line := range format.Wrap(text+".", size[0]-2-left-3-2) {
						require.Contains(t, all, line, name)
					}
				}
				press(r, "pgup", "pgup", "pgup", "pgup")
			}
		}
	}
}

// TestListsMarkWhatIsHidden: every list says that it goes on, at its edge.
func TestListsMarkWhatIsHidden(t *testing.T) {
	r := still(t, nil, 60, 18)
	for i := range 20 {
		require.NoError(t, r.opt.parts.Store.Presets.Save(presets.Preset{Name: fmt.Sprintf("place %d", i)}))
	}
	press(r, tab(r, presetsName))
	takes := someTakes()
	for range 5 {
		takes = append(takes, takes...)
	}
	for _, r := range []*root{
		r,
		still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = setupName }, 60, 18),
		still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = lineupName }, 60, 18),
		still(t, func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen, o.parts.Recorder.(*fakeRecorder).takes = takesName, takes
		}, 60, 18),
	} {
		r.desk.Message = desk.Message{}
		press(r, "home")
		require.Contains(t, look(r), "\n▾")
		require.NotContains(t, look(r), "\n▴")
		press(r, "end")
		require.Contains(t, look(r), "\n▴")
		require.NotContains(t, look(r), "\n▾")
	}
}

// TestHelpScrolls by key and wheel; holding a key down does not fall through
// to the screen under it.
func TestHelpScrolls(t *testing.T) {
	r := still(t, nil, 60, 18)
	gain := chainOf(r).GainDB
	press(r, "?")
	shows(t, r, "more below")
	for range 60 {
		press(r, "down")
	}
	shows(t, r, "quit; settings are kept")
	require.Equal(t, gain, chainOf(r).GainDB)
	for range 60 {
		roll(r, tea.MouseWheelUp, 20, 10)
	}
	shows(t, r, "choose gain")
	for r.help {
		press(r, "space")
	}
	shows(t, r, "dB headroom")
}

// TestSheetKeepsWideRunes: what is copied from the page is what was drawn.
func TestSheetKeepsWideRunes(t *testing.T) {
	r := still(t, nil, 60, 18)
	var s widget.Sheet
	s.Draw(&r.frame, canvas.Rect{X: 5, Y: 5, W: 20, H: 3}, "", func(f *widget.Frame, area canvas.Rect) {
		f.TextIn(area, "音 sound 音", f.Strong(0))
	})
	require.Contains(t, r.frame.Canvas.String(), "音 sound 音")
}
