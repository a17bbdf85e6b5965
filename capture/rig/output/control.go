package output

import (
	"math"
	"sync/atomic"

	"rollready/dsp/compare"
	"rollready/dsp/howl"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
)

// Side is the source that plays one side of a comparison.
func Side(s compare.Side) Source { return SideA + Source(s) }

// Hear goes over to a source, in a crossfade.
func (w *Way) Hear(s Source) { w.source.Store(int32(max(Input, min(s, SideB)))) }

// SetMute silences the way at once, or lets it be heard again in a slow fade.
// After the howl guard muted, unmuting is the person's decision. The way to
// the camera is never muted: only Pause silences it.
func (w *Way) SetMute(on bool) {
	if w.options.Camera {
		return
	}
	if !on {
		w.alarm.raised.Store(false)
	}
	w.back.Store(false)
	w.level.muted.Store(on)
}

// Pause silences a way, also that to the camera, while the line-up's own
// sounds go to the same device; after it the way fades in again.
func (w *Way) Pause(on bool) { w.level.paused.Store(on) }

// SetLevel sets the level in dB, MinLevelDB to 0. The way to the camera stays
// at 0 dB.
func (w *Way) SetLevel(levelDB float64) {
	if !w.options.Camera {
		w.level.set(levelDB)
	}
}

// SetSide changes the settings of one side of the comparison; they must pass
// Check.
func (w *Way) SetSide(s compare.Side, c strips.Settings) {
	w.change(func(st *stage) { st.pair.Set(s, c) }, func() { w.settings[s] = c })
}

// SetGains sets the gains, for the ear, of the comparison's sides.
func (w *Way) SetGains(gainsDB [2]float64) {
	w.change(func(st *stage) {
		for s, g := range gainsDB {
			st.pair.SetGainDB(compare.Side(s), g)
		}
	}, func() { w.gains = gainsDB })
}

// Play lets the comparison's sides be fed from a loop instead of the live
// input; nil goes back to live. A loop of another format than the session's
// is not played.
func (w *Way) Play(l *phrase.Loop) {
	w.change(func(st *stage) { st.play(l) }, func() { w.loop = l })
}

// change keeps something for stages to come and tells it to the present one.
func (w *Way) change(tell func(*stage), keep func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	keep()
	if st := w.port.stage.Load(); st != nil {
		tell(st)
	}
}

// alarm is the howl guard's last word. The audio thread raises it, so it is
// kept in figures.
type alarm struct {
	raised     atomic.Bool
	hz, perSec atomic.Uint64 // bits
}

func (a *alarm) raise(h howl.Alarm) {
	a.hz.Store(math.Float64bits(h.Hz))
	a.perSec.Store(math.Float64bits(h.DBPerSecond))
	a.raised.Store(true)
}

// text is the alarm in words, "" if there is none.
func (a *alarm) text() string {
	if !a.raised.Load() {
		return ""
	}
	return howl.Alarm{Hz: math.Float64frombits(a.hz.Load()), DBPerSecond: math.Float64frombits(a.perSec.Load())}.String()
}
