package take

import (
	"time"

	"rollready/dsp/verdict"
)

const (
	// lostAfter is how long no frame may come before the input counts as lost.
	lostAfter = 600 * time.Millisecond
	// behind is how far silence stays behind the clock while the input is
	// away, so that it does not overtake a block that is about to come.
	behind = 300 * time.Millisecond
)

// watch notices that an input stopped: a device may never say so. It then
// counts time in silence, by the clock, in place of frames.
type watch struct {
	intake *intake
	rateHz int
	lost   bool
	away   time.Duration // of the loss now or last

	fed     int64         // position at the last look
	arrived time.Duration // of the last frame
	given   int64         // silence given since then
}

// look gives what changed, and how many frames of silence are due now.
func (w *watch) look(now time.Duration) (change verdict.Code, silence int64) {
	arrived := time.Duration(w.intake.arrived.Load())
	fed := w.intake.fed.Load()
	if fed != w.fed {
		change, silence = w.came(fed, arrived)
		w.fed, w.arrived = fed, arrived
		return change, silence
	}
	if now-w.arrived < lostAfter {
		return "", 0
	}
	if !w.lost {
		w.lost, change = true, verdict.InputLost
	}
	w.away = now - w.arrived
	silence = max(0, w.frames(w.away-behind)-w.given)
	w.given += silence
	return change, silence
}

// came: frames are here. After a loss, time up to the first of them is due.
func (w *watch) came(fed int64, arrived time.Duration) (verdict.Code, int64) {
	if !w.lost {
		return "", 0
	}
	silence := max(0, w.frames(arrived-w.arrived)-(fed-w.fed)-w.given)
	w.away = arrived - w.arrived
	w.lost, w.given = false, 0
	return verdict.InputBack, silence
}

func (w *watch) frames(d time.Duration) int64 { return int64(d.Seconds()*float64(w.rateHz) + 0.5) }
