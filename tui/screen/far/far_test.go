package far

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"

	"rollready/capture/rig"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

var sizes = [...][2]int{{60, 18}, {80, 24}, {120, 40}, {200, 60}}

// standing is a desk on which a voice reaches so many dBFS at the camera.
func standing(say verdict.Finding, peakDBFS, leastDB float64) *desk.Desk {
	d := &desk.Desk{}
	d.Sentence, d.Settings.View = say, dsp.DefaultView()
	d.Reading.Channels = 1
	d.Reading.Camera[0] = dsp.CameraLevel{PeakDBFS: peakDBFS, HeadroomDB: -peakDBFS, LeastHeadroomDB: leastDB}
	d.Slow = d.Reading
	return d
}

func rolling(d *desk.Desk, for_ time.Duration) *desk.Desk {
	d.Rec = take.Status{Rolling: true, Elapsed: for_}
	return d
}

func states() map[string]*desk.Desk {
	lost := rolling(standing(verdict.LostInput("USB interface", 7*time.Second), -14, 7), 3762*time.Second)
	lost.Status.Lost = true
	counting := standing(verdict.Safe(), -11.2, 7.6)
	counting.Count = rig.Countdown{On: true, Left: 9200 * time.Millisecond}
	return map[string]*desk.Desk{
		"safe":    standing(verdict.Safe(), -11.2, 7.6),
		"low":     standing(verdict.RaiseCamera(9), -27, 21.4),
		"hot":     standing(verdict.LowerGain(verdict.Caution, 4), -4.1, 2.3),
		"over":    standing(verdict.Clipped(verdict.On(1), 3), 0.6, -2.2),
		"rolling": rolling(standing(verdict.Safe(), -9.3, 6.9), 763*time.Second),
		"lost":    lost,
		"count":   counting,
	}
}

// drawn draws a state in a theme.
func drawn(d *desk.Desk, look string, w, h int) *widget.Frame {
	f := &widget.Frame{Canvas: &canvas.Canvas{}, Theme: theme.New(look, colorprofile.TrueColor)}
	f.Resize(w, h)
	f.Clear(f.Style(theme.Ink))
	Draw(f, f.Bounds(), d)
	return f
}

// TestGolden compares pictures with those that were looked at and found good.
// In every theme they are the same as text: nothing is told by colour alone.
// UPDATE_GOLDEN=1 writes them anew.
func TestGolden(t *testing.T) {
	for name, d := range states() {
		for _, size := range sizes {
			file := filepath.Join("testdata", fmt.Sprintf("%s-%dx%d.txt", name, size[0], size[1]))
			for _, look := range theme.Names {
				got := drawn(d, look, size[0], size[1]).String() + "\n"
				if os.Getenv("UPDATE_GOLDEN") != "" && look == theme.Names[0] {
					require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
				}
				want, err := os.ReadFile(file)
				require.NoError(t, err)
				require.Equal(t, string(want), got, "%s %s", file, look)
			}
		}
	}
}

// TestLegible: on the screen that is assumed, and at 5 m, whatever is said has
// the height that the rules ask for; at 120 × 40 the figures have 20 rows.
func TestLegible(t *testing.T) {
	require.InDelta(t, 29.1, WordMM(), 0.05, "20′ at 5 m")
	require.InDelta(t, 13.9, TextMM, 0.05, "an inch at 30 feet, 5 m being 16.4")
	for _, size := range sizes {
		cell := CellMM(size[0], size[1])
		high := func(dot int) float64 { return 5 * float64(dot) / 2 * cell }
		for _, brief := range []string{"Safe to roll", "Camera level down", "Speak as on camera"} {
			p := layout(canvas.Rect{W: size[0], H: size[1]}, brief)
			t.Logf("%d × %d, %q: word %.0f mm, figures %.0f mm = %.1f rows, sentence %.0f mm in %d lines, bar %d columns",
				size[0], size[1], brief, high(p.word), high(p.tall), 2.5*float64(p.tall), high(p.text), len(p.lines), p.bar.W)
			require.GreaterOrEqual(t, high(p.word), WordMM())
			require.GreaterOrEqual(t, high(p.tall), WordMM())
			require.GreaterOrEqual(t, high(p.text), TextMM)
			if size == [2]int{120, 40} {
				require.GreaterOrEqual(t, 2.5*float64(p.tall), 20.0)
			}
		}
	}
}

// TestEveryWordFits: no letter of whatever may be said is cut off or narrower
// than its dots need, also beside a take of ten hours.
func TestEveryWordFits(t *testing.T) {
	for _, size := range sizes {
		for code, f := range everyFinding() {
			p := layout(canvas.Rect{W: size[0], H: size[1]}, f.Brief())
			rec := drawRec(drawn(standing(f, -9, 9), "night", size[0], size[1]), &p, "10:02:42")
			require.LessOrEqual(t, widget.Dots(f.Word()), 2*(p.head.W-rec-6), "%s beside %d of %d columns", f.Word(), rec, p.head.W)
			require.Less(t, longest(p.lines)*narrow(p.text), 2*p.foot.W, "%s at %v", code, size)
			for _, text := range strings.Fields(f.Brief() + " " + f.Word()) {
				require.Equal(t, len([]rune(text))-1, strings.Count(gaps(strings.ToUpper(text)), " "), "a sign of %q is not known", text)
			}
		}
	}
}

// gaps writes a blank for each column without dots.
func gaps(text string) string {
	var b strings.Builder
	for _, column := range widget.Columns(text) {
		b.WriteByte(map[bool]byte{true: ' ', false: '#'}[column == 0])
	}
	return b.String()
}

// everyFinding has one of each code in each place.
func everyFinding() map[string]verdict.Finding {
	all := map[string]verdict.Finding{}
	for _, c := range verdict.Codes() {
		for _, p := range []verdict.Place{verdict.Here, verdict.Interface, verdict.System, verdict.Camera, verdict.OnSet} {
			for _, s := range []verdict.Severity{verdict.Stop, verdict.Caution} {
				all[fmt.Sprint(c, p, s)] = verdict.Finding{Code: c, Place: p, Severity: s}
			}
		}
	}
	return all
}

// TestAnySize: no size makes it panic or draw beyond its area.
func TestAnySize(t *testing.T) {
	for _, d := range states() {
		for h := 1; h < 80; h += 3 {
			for w := 1; w < 240; w += 7 {
				drawn(d, "night", w, h)
			}
		}
	}
}

// TestStatesLookDifferentWithoutColour: the edge alone tells them apart.
func TestStatesLookDifferentWithoutColour(t *testing.T) {
	edges := map[string]verdict.Severity{}
	for _, s := range []verdict.Severity{verdict.Stop, verdict.Caution, verdict.Info, verdict.Good} {
		var edge strings.Builder
		f := drawn(standing(verdict.Finding{Code: verdict.Speak, Severity: s}, -20, 9), "mono", 80, 24)
		for y := range 24 {
			r, _ := f.At(0, y)
			edge.WriteRune(r)
		}
		require.Empty(t, edges[edge.String()])
		edges[edge.String()] = s
	}
}

func TestFigures(t *testing.T) {
	for of, want := range map[float64]string{7.6: "7", 0.4: "0", -0.4: "−1", 12: "12", 140: "–"} {
		require.Equal(t, want, figure(of))
	}
}
