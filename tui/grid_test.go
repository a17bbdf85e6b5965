package tui

import (
	"strings"
	"testing"

	"rollready/tui/view"

	tea "charm.land/bubbletea/v2"
	"github.com/charmbracelet/x/ansi"
	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/bands"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

func TestExactGrid(t *testing.T) { exactGrid(t, 4, 3) }

// exactGrid draws every screen at sizes from 1 × 1 to 220 × 70, the closer the
// greater the denominators. Widths are measured with a library that is not the
// one that drew.
func exactGrid(t *testing.T, tall, wide int) {
	for name, moment := range screenCases() {
		for _, state := range []string{"plain", "help", "field"} {
			r := moment.at(t, func(e *fakeEngine, o *Options) {
				e.status.Source = "Mikrofon 麦克风 \x1b[31m\t\u0301 with a long, long name"
				o.parts.Camera.Name = "камера 📷 one"
			}, 80, 24)
			switch state {
			case "help":
				press(r, "?")
			case "field":
				r.desk.Ask("A field:", "麦克风 text", nil)
			}
			for h := 1; h <= 70; h += 1 + h/tall {
				for w := 1; w <= 220; w += 1 + w/wide {
					exact(t, r, w, h, name+" "+state)
				}
			}
		}
	}
}

func exact(t *testing.T, r *root, w, h int, what string) {
	t.Helper()
	r.Update(tea.WindowSizeMsg{Width: w, Height: h})
	lines := strings.Split(look(r), "\n")
	require.Nil(t, r.crashed, "%s at %d × %d", what, w, h)
	require.Len(t, lines, h, "%s at %d × %d", what, w, h)
	for y, line := range lines {
		if got := ansi.StringWidth(line); got != w {
			require.Equal(t, w, got, "%s at %d × %d, row %d: %q", what, w, h, y, ansi.Strip(line))
		}
	}
}

func TestTooSmallSaysSo(t *testing.T) {
	r := still(t, nil, 59, 18)
	require.Contains(t, look(r), "needs 60 × 18")
	r.Update(tea.WindowSizeMsg{Width: 60, Height: 18})
	require.NotContains(t, look(r), "needs")
	require.Contains(t, look(r), "dB headroom")
}

// TestHelpIsWhole: at the usual size no line of it is cut off.
func TestHelpIsWhole(t *testing.T) {
	for name, moment := range screenCases() {
		for _, size := range [][2]int{{60, 18}, {80, 24}} {
			r := moment.at(t, func(*fakeEngine, *Options) {}, size[0], size[1])
			press(r, "?")
			for r.help {
				_, text, _ := strings.Cut(look(r), "Keys of ")
				text = text[:strings.LastIndex(text, "\n")]
				require.NotContains(t, text, "…", name)
				press(r, "space")
			}
		}
	}
}

// TestPresetOutlastsTheNameOfTheInput: which preset is in use is to be seen
// beside a verdict and headphones.
func TestPresetOutlastsTheNameOfTheInput(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	e.status.Source = "A microphone with a very long name"
	e.mu.Unlock()
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	frame(r)
	press(r, "enter")
	shows(t, r, "indoor voice")
	shows(t, r, "A micr")
}

// TestScaleHasNoHalfFigures: the cursor's figure takes the whole place of
// another.
func TestScaleHasNoHalfFigures(t *testing.T) {
	r := still(t, nil, 80, 24)
	for range 32 {
		_, scale, found := strings.Cut(look(r), "\n         Hz ")
		require.True(t, found)
		scale, _, _ = strings.Cut(scale, "\n")
		require.Subset(t, bandFigures(), strings.Fields(scale))
		press(r, "left")
	}
}

func bandFigures() (all []string) {
	for i := range dsp.BandCount {
		all = append(all, view.BandWord(bands.At(i).NominalHz))
	}
	return all
}

// TestWhatToDoFitsTheSmallestScreen: the end of the sentence is what to do.
func TestWhatToDoFitsTheSmallestScreen(t *testing.T) {
	for text, brief := range map[string]string{
		"Too quiet: turn the interface's preamp up by about 8 dB.":                  "Too quiet: turn the interface's preamp up by about 8 dB.",
		"Input 1 is nearly full: turn the interface's preamp down by about 12 dB.":  "Turn the interface's preamp down by about 12 dB.",
		"Nothing comes in: check the microphone's power, cable and channel.":        "Check the microphone's power, cable and channel.",
		"INPUT LOST: check its cable and power. It is taken up again by itself.":    "INPUT LOST: check its cable and power.",
		"SENDING  The camera must be recording until the end; touch nothing on it.": "SENDING  The camera must be recording until the end.",
	} {
		r := still(t, func(_ *fakeEngine, o *Options) {
			o.parts.Judge = weighs(verdict.Finding{Severity: verdict.Info, Code: verdict.Speak, Message: text})
		}, 60, 18)
		shows(t, r, "▌ "+brief+" ")
		r.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
		shows(t, r, text)
	}
	for _, name := range []string{checkName, comparisonName, lineupName} {
		r := still(t, func(_ *fakeEngine, o *Options) { o.parts.Settings.Screen = name }, 60, 18)
		for _, line := range strings.Split(look(r), "\n") {
			require.False(t, strings.HasPrefix(line, "▌") && strings.Contains(line, "…"), line)
		}
	}
}
