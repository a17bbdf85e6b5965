package view

import (
	"math"

	"rollready/dsp"
	"rollready/tui/canvas"
)

// Cells left and right of the bands: names and dB scale, the curve's scale.
const (
	LeastGutter = 12
	mostGutter  = 36
	margin      = 4
)

// Axis is the frequency scale of the bands. The filters' tracks lie on the
// same one, so that a cutoff stands under the bands it cuts.
type Axis struct {
	X    int // first cell
	Cell int // cells per band
}

// NewAxis lays the frequency scale into an area.
func NewAxis(area canvas.Rect) Axis {
	a := Axis{Cell: max((area.W-LeastGutter-margin)/dsp.BandCount, 1)}
	a.X = area.X + min(max(area.W-margin-a.Width(), LeastGutter), mostGutter)
	return a
}

// Width is the cells of all bands.
func (a Axis) Width() int { return a.Cell * dsp.BandCount }

// at gives the place of a frequency in cells from the left end.
func (a Axis) at(hz float64) float64 {
	return (10*math.Log10(hz/1000) + OneKilohertz + 0.5) * float64(a.Cell)
}

// Hz is the frequency at a place in cells from the left end.
func (a Axis) Hz(at float64) float64 {
	return 1000 * math.Pow(10, (at/float64(a.Cell)-0.5-OneKilohertz)/10)
}

// band is the band under a cell of the screen, clamped to those there are.
func (a Axis) band(x int) int {
	return min(max(x-a.X, 0)/a.Cell, dsp.BandCount-1)
}

// OneKilohertz is the index of the 1 kHz band.
const OneKilohertz = 18
