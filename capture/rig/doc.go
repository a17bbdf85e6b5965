// Package rig is the running whole without a face: source, chain, meters, ways
// out, recorder, guided check, comparison, line-up and playback of takes. It
// alone holds the rules; screens and commands are thin faces on it.
//
// # How a face uses it
//
// [Open] opens real devices; [New] takes parts that run already, as tests do.
// [Rig.State] gives everything there is to show, as one plain value that does
// not change. What a face wants done it asks of a method. A method that may
// wait for a device or the disk says so in its comment: a screen calls it off
// its own goroutine. An error that is a [Refusal] says why something can't be
// done now where nothing is wrong.
//
// # What is wrong now
//
// [State] holds it as values: Conditions, the weightiest first, and the one
// Sentence that says what to do, both in the words of dsp/verdict. Screens draw
// them, watch prints them; neither has an order of its own. [State.Alarms] are
// those that must be seen on every screen.
//
// # Without devices, without a face
//
// [Listen] opens an input and nothing else, for commands that read it; [Record]
// also records it. [CheckRecorded] checks a file.
// [OpenPass] reads a file the same way without time. [NewLine] sends the
// line-up's sounds without a rig. What a line-up does to a camera's profile are
// rules of their own, the same for a key and a flag: [LineUpByReading],
// [LineUpByClipMark], [LineUpByClip].
//
// # Its rooms
//
//	session   the source, the chain in its callback, the meters
//	output    ways out, each on the clock of its device
//	deck      the recorder, kept fit for what the session gives
//	guided    the guided check
//	ab        the comparison of two settings
//	alert     when a person who looks elsewhere is told
package rig
