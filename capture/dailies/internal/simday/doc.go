// Package simday makes days of filming for tests: worlds of speech, and how
// recorder and camera heard them, with the truth known to the sample.
package simday
