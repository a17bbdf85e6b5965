// Package strips is the way of several microphones to the camera: each input
// channel has a strip of its own (gain, high-pass, low-pass, polarity, mute),
// each strip is sent to the left and right channel of the camera feed and of
// the headphones, and the camera feed is limited.
//
// The ready ways of sending are in layout.go; the engine is Bank.
package strips
