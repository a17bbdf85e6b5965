package truepeak

import "golang.org/x/sys/cpu"

// four tells that the processor takes four windows at once.
var four = cpu.X86.HasAVX

// peakOfFours is peakOfEach over as many windows as are a multiple of four, four
// at a time, bit by bit the same. x holds at least four.
//
//go:noescape
func peakOfFours(p *pair, x []float32, top float64) float64
