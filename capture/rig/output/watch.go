package output

import (
	"time"

	"rollready/capture/mixer"
	"rollready/capture/pulse"
	"rollready/presets"
)

const (
	lookEvery  = 50 * time.Millisecond
	startGrace = 1500 * time.Millisecond
	tryEvery   = 500 * time.Millisecond
)

// watch is the watchdog's memory.
type watch struct {
	asked   pulse.Pulse // blocks
	lost    bool
	opening bool
	nextTry time.Time
	returns int
}

func (w *Way) lookAfter() {
	defer close(w.ended)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-w.quit:
			return
		case next := <-w.opened:
			w.takeUp(next, time.Now())
		case <-tick.C:
			w.look(time.Now())
		}
	}
}

func (w *Way) look(now time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.watch.asked.Look(now, w.port.blocks.Load())
	switch {
	case w.watch.lost:
		w.tryAgain(now)
	case w.gone() || w.watch.asked.Still(now) > w.patience:
		w.giveUp(now)
	case w.tap != nil && w.tap.Cut():
		w.retap()
	}
}

func (w *Way) gone() bool {
	select {
	case <-w.port.device.Done():
		return true
	default:
		return false
	}
}

// giveUp abandons a device that no longer plays.
func (w *Way) giveUp(now time.Time) {
	w.watch.lost, w.watch.nextTry = true, now
	w.untap()
	if !w.options.Camera && !w.level.muted.Swap(true) {
		w.back.Store(true)
	}
	device := w.port.device
	w.session.Go(func() { device.Close() }) // it may hang
}

func (w *Way) tryAgain(now time.Time) {
	if w.watch.opening || now.Before(w.watch.nextTry) {
		return
	}
	w.watch.opening = true
	w.session.Go(func() {
		next := w.open()
		select {
		case w.opened <- next:
		case <-w.ended:
			if next.port != nil {
				next.port.device.Close()
			}
		}
	})
}

func (w *Way) takeUp(next opening, now time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if next.err == nil {
		w.watch.returns++
		w.adopt(next.port, now)
		return
	}
	w.watch.opening, w.watch.nextTry = false, now.Add(tryEvery)
}

// Status is the state of a way out. A plain value.
type Status struct {
	Device   presets.Output
	Lost     bool // the device stopped playing; it is being looked for
	Returns  int  // how often a lost device came back
	Source   Source
	Muted    bool
	Back     bool // muted because the device was lost, and nobody let it be heard since
	LevelDB  float64
	Volume   mixer.Setting // what the sound system does to it besides
	Alarm    string        // why the howl guard muted, "" if it did not
	DelayMS  float64       // own delay, from the input's callback to the device playing; see Delay
	DriftPPM float64       // how much faster the input's clock runs than the device's, as learnt so far
	PacePPM  float64       // present correction
	Dropouts int64         // times the sound broke off
	LostMS   float64       // sound left out or missing, all together
	Fault    string        // a mistake of ours that stopped the way, "" if none
}

// Status gives the present state.
func (w *Way) Status() Status {
	w.mu.Lock()
	defer w.mu.Unlock()
	s := Status{Device: w.port.is, Lost: w.watch.lost, Returns: w.watch.returns, Source: Source(w.source.Load()),
		Muted: w.level.muted.Load(), Back: w.back.Load(), LevelDB: w.level.dB(), Volume: w.port.device.Volume(),
		Alarm: w.alarm.text(), Dropouts: w.counts.dropouts.Load()}
	if w.fault.Raised() {
		s.Fault = "output stopped: " + w.fault.Text()
	}
	if st := w.port.stage.Load(); st != nil {
		s.DelayMS = st.delayMS(s.Source, w.session.Status().LatencyFrames, w.port.device.PeriodFrames())
		s.DriftPPM = float64(st.line.shown.drift.Load()) / unitsPerPart
		s.PacePPM = float64(st.line.shown.ppm.Load()) / unitsPerPart
		s.LostMS = 1000 * float64(w.counts.lost.Load()) / st.line.rateHz
	}
	return s
}
