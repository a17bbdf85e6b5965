// Package gainplan works out on paper where our output will land on a camera:
// from the interface's output level, a pad, and the camera's input
// sensitivity at each of its mic-level settings.
//
// 0 dBV is 1 V rms and 0 dBu is √0.6 V = 0.7746 V rms: the published
// definitions, the latter the voltage of 1 mW in 600 Ω.
package gainplan
