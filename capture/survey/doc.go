// Package survey measures recorded files: everything the meters know, in one
// pass, over all cores, in flat memory.
//
// # One pass
//
// [File] reads a recording once. Every kind of measure is a stage on a goroutine
// of its own, and all of them read the same blocks; [Batch] does so for several
// files at a time. A [Meter] has the same stages on one goroutine, for a take
// that rolls: its sheet then holds what a report of the file would find.
//
// # Tracks and their roles
//
// Of a take the tracks of each role, processed, raw and safety, are measured
// apart: a [Part] each. The findings say which of them a fault comes from, and
// which track is to be taken instead.
//
// # Two recordings of one take
//
// [Compare] lines two recordings up in time, measures what both hold, and says
// which is cleaner and by what.
package survey
