package tui

import (
	"math"

	"rollready/dsp"
	"rollready/tui/canvas"
)

// Cells left and right of the bands: names and dB scale, the curve's scale.
const (
	leastGutter = 12
	mostGutter  = 36
	margin      = 4
)

// axis is the frequency scale of the bands. The filters' tracks lie on the
// same one, so that a cutoff stands under the bands it cuts.
type axis struct {
	x    int // first cell
	cell int // cells per band
}

func newAxis(area canvas.Rect) axis {
	a := axis{cell: max((area.W-leastGutter-margin)/dsp.BandCount, 1)}
	a.x = area.X + min(max(area.W-margin-a.width(), leastGutter), mostGutter)
	return a
}

func (a axis) width() int { return a.cell * dsp.BandCount }

// at gives the place of a frequency in cells from the left end.
func (a axis) at(hz float64) float64 {
	return (10*math.Log10(hz/1000) + oneKilohertz + 0.5) * float64(a.cell)
}

// hz is the frequency at a place in cells from the left end.
func (a axis) hz(at float64) float64 {
	return 1000 * math.Pow(10, (at/float64(a.cell)-0.5-oneKilohertz)/10)
}

// band is the band under a cell of the screen, clamped to those there are.
func (a axis) band(x int) int {
	return min(max(x-a.x, 0)/a.cell, dsp.BandCount-1)
}

// oneKilohertz is the index of the 1 kHz band.
const oneKilohertz = 18

// span is a scale of levels over cells.
type span struct{ lo, hi float64 }

// cells gives how many cells, with fractions, a level takes of n.
func (s span) cells(level float64, n int) float64 {
	if math.IsNaN(level) {
		return 0
	}
	return min(max((level-s.lo)/(s.hi-s.lo), 0), 1) * float64(n)
}

// column is the cell a level falls into.
func (s span) column(level float64, n int) int {
	return min(int(s.cells(level, n)), n-1)
}
