package widget

import (
	"math"
)

// Span is a scale of levels over cells.
type Span struct{ Lo, Hi float64 }

// Cells gives how many cells, with fractions, a level takes of n.
func (s Span) Cells(level float64, n int) float64 {
	if math.IsNaN(level) {
		return 0
	}
	return min(max((level-s.Lo)/(s.Hi-s.Lo), 0), 1) * float64(n)
}

// Column is the cell a level falls into.
func (s Span) Column(level float64, n int) int {
	return min(int(s.Cells(level, n)), n-1)
}
