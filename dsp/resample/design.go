package resample

import (
	"math"

	"rollready/dsp/internal/taps"
)

const (
	zeros   = 32   // zero crossings of the sinc on each side
	brief   = 10   // the same, of a resampler for measuring
	phases  = 512  // per input frame
	beta    = 9.0  // of the Kaiser window: stop band about −90 dB
	rollOff = 0.95 // of half the lower rate: where the sinc is cut off
)

// design gives the reach in input frames and, row by row, the taps for an
// output frame p/phases behind the frame reach−1 of the window. Each row has
// unity gain at 0 Hz. lower is the output rate over the input rate, at most 1; zeros the zero crossings
// on each side.
func design(lower float64, zeros int) (reach int, rows []float32) {
	cut := rollOff * lower
	reach = int(math.Ceil(float64(zeros) / cut))
	row := make([]float64, 2*reach)
	for p := range phases + 1 {
		sum := 0.0
		for k := range row {
			d := float64(k-reach+1) - float64(p)/phases
			row[k] = taps.Sinc(cut*d) * taps.Kaiser(beta, d/float64(reach))
			sum += row[k]
		}
		for _, h := range row {
			rows = append(rows, float32(h/sum))
		}
	}
	return reach, rows
}
