package bands

import "golang.org/x/sys/cpu"

// together tells that the processor takes four bands at once.
var together = cpu.X86.HasAVX

// runTogether is runEach with the four bands in the lanes of a register, bit by
// bit the same.
//
//go:noescape
func runTogether(q *quad, x []float64)
