// Package session is an input as it is metered: a source, the chain, the meters and
// what listens to them.
//
//	source ─► callback: sanitise → pick channels ─┬─► ring: input frames ──┐
//	                                              └─► chain ─► ring: output frames ─► analysis goroutine ─► Reading
//
// # The callback
//
// A source calls the session on its own thread. There nothing allocates, locks
// or blocks: frames are picked and cleaned, go through the chain, into rings
// that the analysis, taps and ways out empty, and into the sink that records.
// What finds no room is counted.
//
// While there is no tap, the blocks of a source that is a [capture.Waiter] wait
// there, and the loop takes them through the same code, so that nothing wakes
// for each.
//
// # Lost inputs
//
// A watchdog notices that frames stopped, leaves the dead device to a goroutine
// of its own and opens it again, and no other. Meanwhile [Status] says that the
// input is lost; taps count the gap.
package session
