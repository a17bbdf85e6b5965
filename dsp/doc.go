// Package dsp is pure computation on sound: no files, no devices, no clock,
// no goroutine. Its subpackages hold one measure or one piece of the chain
// each; this package binds the live measures together into a Meter, whose
// whole result is a Reading.
//
// Frames are interleaved float32, amplitude 1.0 is digital full scale. Levels
// in dBFS follow AES17 (a full-scale sine reads 0 dBFS as peak and as rms),
// true peaks in dBTP and loudness in LUFS follow ITU-R BS.1770. Time is
// counted in frames. Silence is −Inf.
package dsp
