package abreast

import "golang.org/x/sys/cpu"

// Fast tells that the processor takes two channels at once.
var Fast = cpu.X86.HasAVX

// add does in the lanes of a register what the sections do for each channel,
// bit by bit the same.
//
//go:noescape
func add(c *Cascade, frames []float32, three bool)
