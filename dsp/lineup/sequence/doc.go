// Package sequence is the line-up sequence: the sounds that are sent to a
// camera so that its recording of them tells what the camera does to sound.
//
//	start marker · ident left, right · ladder −50…−1 dBFS · sweep 20 Hz–20 kHz ·
//	silence · steady tone · loud burst · steady tone · polarity pulses · end marker
//
// It is the same at every sample rate: every section is a formula over
// seconds, so the sender and the analyser compute the identical waveform.
package sequence
