// Package demo is a scene of our own to try the program without a microphone:
// someone speaks at a harbour wall, with a microphone at the collar (channel
// 1) and one on the camera (channel 2). There is wind rumble, mains hum from
// the lamp's ballast, and now and then a call that is too loud.
//
// It is synthesised. The same frames come every time, however they are cut
// into blocks. Wherever it is shown, it must be labelled DEMO.
package demo
