// Package output is the way out: from a session to headphones, or to the
// camera, over a device whose clock is not the input's.
//
//	session's tap ─► ring ─► input, output, A or B ─► howl guard ─► resampler ─► mute and level ─► device
//	                  └─ fill ─► drift controller ─────────────────────┘  ▲
//	                                              headphones only: earcons ┘
//
// All of it runs in the device's own callback. A goroutine looks after the
// device and the tap, never the sound.
//
// # Two clocks
//
// The device asks for frames by a clock that is not the input's. A ring between
// the two holds two and a half periods; a controller keeps its fill level by
// resampling a few parts per million faster or slower, never by leaving frames
// out, unless they have piled up or run dry: then the sound ends and begins
// softly, and it is counted.
//
// # Headphones and camera
//
// Headphones start muted and low, and the howl guard mutes them. The way to the
// camera sounds at once at the level that was lined up, and only Pause silences
// it.
package output
