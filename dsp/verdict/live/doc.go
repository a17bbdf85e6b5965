// Package live judges the last seconds of a live input: what is wrong with it,
// in order of weight, and the one sentence that says what to do next, and where.
//
// # Safe to roll
//
// It says that it is safe only of a voice that it has heard, that sits in the
// camera's target window, in which it found nothing wrong in enough time to
// find it, and that the camera gets.
//
// # Steadiness
//
// A voice is judged by the peaks of its last ten seconds of speech; pauses
// change nothing. What is said stays some seconds, unless something worse
// comes; limits are wider for what is said already, so that the same voice gets
// the same answer, and the same hand to turn.
package live
