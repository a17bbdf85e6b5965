package take

import (
	"time"

	"rollready/capture/pulse"
	"rollready/dsp/verdict"
)

// behind is how far silence stays behind the clock while the input is away, so
// that it does not overtake a block that is about to come.
const behind = 300 * time.Millisecond

// watch notices that an input stopped: a device may never say so. It then
// counts time in silence, by the clock, in place of frames.
type watch struct {
	intake *intake
	epoch  time.Time
	rateHz int
	came   pulse.Pulse // frames fed
	lost   bool
	away   time.Duration // of the loss now or last

	arrived time.Duration // of the last frame, since the epoch
	given   int64         // silence given since then
}

func newWatch(q *intake, epoch time.Time, rateHz int) watch {
	w := watch{intake: q, epoch: epoch, rateHz: rateHz}
	w.came.Begin(epoch)
	return w
}

// look gives what changed, and how many frames of silence are due now.
func (w *watch) look(now time.Time) (change verdict.Code, silence int64) {
	before := w.seen()
	fed := w.intake.fed.Load() // first: the time is that of these frames, or of a block later
	arrived := time.Duration(w.intake.arrived.Load())
	switch {
	case w.came.Look(now, fed):
		change, silence = w.back(fed-before, arrived)
		w.arrived = arrived
		return change, silence
	case w.lost:
	case w.came.Still(now) < pulse.LostAfter:
		return "", 0
	default:
		w.lost, change = true, verdict.InputLost
	}
	w.away = now.Sub(w.epoch) - w.arrived
	silence = max(0, w.frames(w.away-behind)-w.given)
	w.given += silence
	return change, silence
}

// seen is the position up to which the last look knew of frames; what came since
// waits for the next.
func (w *watch) seen() int64 { return w.came.Count() }

// back: frames are here. After a loss, time up to the first of them is due.
func (w *watch) back(frames int64, arrived time.Duration) (verdict.Code, int64) {
	if !w.lost {
		return "", 0
	}
	silence := max(0, w.frames(arrived-w.arrived)-frames-w.given)
	w.away = arrived - w.arrived
	w.lost, w.given = false, 0
	return verdict.InputBack, silence
}

func (w *watch) frames(d time.Duration) int64 { return int64(d.Seconds()*float64(w.rateHz) + 0.5) }
