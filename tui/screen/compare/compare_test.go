package compare

import (
	"math/rand/v2"
	"testing"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"

	"rollready/dsp/compare"
	"rollready/tui/canvas"
	"rollready/tui/theme"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// TestHangingBars: a bar of half a row that hangs is the lower half of the
// cell in the ground's colour, on the bar's.
func TestHangingBars(t *testing.T) {
	plot := canvas.Rect{X: 20, Y: 10, W: 96, H: 8}
	f := &widget.Frame{Canvas: &canvas.Canvas{}, Theme: theme.New("night", colorprofile.TrueColor)}
	f.Resize(120, 30)
	var p diffPlot
	p.Cursor = view.OneKilohertz
	f.Fill(plot, ' ', f.Style(theme.Ink))
	p.Axis = view.Axis{X: 20, Cell: 3}
	p.drawBand(f, plot, 0, -4.5) // one and a half rows of 3 dB
	got, style := f.At(20, 14)
	require.Equal(t, '█', got)
	require.Equal(t, theme.Bar, style.FG)
	got, style = f.At(20, 15)
	require.Equal(t, '▄', got)
	require.Equal(t, canvas.Style{FG: theme.Ground, BG: theme.Bar}, style)
	p.drawBand(f, plot, 1, 4.5)
	got, style = f.At(23, 12)
	require.Equal(t, '▄', got)
	require.Equal(t, canvas.Style{FG: theme.Bar, BG: theme.Ground}, style)
	p.drawBand(f, plot, 2, 40)
	got, _ = f.At(26, 10)
	require.Equal(t, '▲', got)
}

// TestScore against the binomial distribution: 9 of 10 or better is 11/1024 by
// guessing, 8 of 10 is 56/1024 (worked by hand from Pascal's triangle).
func TestScore(t *testing.T) {
	for right, want := range map[int]string{
		9: "9 of 10 right. Guessing does as well 1.1 % of the time: you hear the difference.",
		8: "8 of 10 right. Guessing does as well 5.5 % of the time: no difference shown.",
	} {
		trial, err := compare.NewTrial(10, rand.New(rand.NewPCG(3, 4)))
		require.NoError(t, err)
		for n := range 10 {
			s := trial.X()
			if n >= right {
				s = s.Other()
			}
			trial.Answer(s)
		}
		require.Equal(t, want, score(trial))
	}
}
