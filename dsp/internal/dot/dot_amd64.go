package dot

import "golang.org/x/sys/cpu"

// wide tells that the processor takes four products at once.
var wide = cpu.X86.HasAVX

// product is plain in four strands of four.
//
//go:noescape
func product(a, b []float64) float64
