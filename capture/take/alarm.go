package take

import (
	"fmt"
	"slices"
	"time"

	"rollready/capture/power"
	"rollready/dsp/db"
	"rollready/dsp/verdict"
)

// Figures of the alarms (common practice, no source).
const (
	onMains  = 1000
	clipHold = 3 * time.Second // one alarm for a burst of clips
)

// silenceAmplitude is what a sample of sound exceeds now and then.
var silenceAmplitude = float32(db.ToAmplitude(verdict.SilentPeakDBFS))

// Alarm is something wrong now. A plain value.
type Alarm struct {
	Kind  verdict.Code
	Text  string
	Since time.Time
}

// alarms holds what is wrong now, and when it was last seen.
type alarms struct {
	active  []Alarm
	clipped time.Time // last clip
	lag     int64     // counts already told
	dropped int64
	counted time.Time // last of these
}

// alarm raises or clears one. Only a raise is logged.
func (r *Recorder) alarm(now time.Time, kind verdict.Code, on bool, format string, args ...any) {
	i := slices.IndexFunc(r.alarms.active, func(a Alarm) bool { return a.Kind == kind })
	switch {
	case on && i < 0:
		a := Alarm{kind, fmt.Sprintf(format, args...), now}
		r.alarms.active = append(r.alarms.active, a)
		r.event(now, kind, a.Text)
	case on:
		r.alarms.active[i].Text = fmt.Sprintf(format, args...)
	case i >= 0:
		r.alarms.active = slices.Delete(r.alarms.active, i, i+1)
	}
}

func (r *Recorder) checkAlarms(now time.Time) {
	percent := r.battery.Load()
	r.alarm(now, verdict.BatteryLow, percent < power.WarnPercent, "battery at %d %%: plug in", percent)
	left := r.disk.left(r)
	r.alarm(now, verdict.DiskLow, left >= 0 && left < r.config.DiskWarning, "disk: room for %s more", clock(left))
	r.checkCounts(now)
	if r.roll == nil {
		for _, kind := range []verdict.Code{verdict.InputClipped, verdict.Silence, verdict.InputLost} {
			r.alarm(now, kind, false, "")
		}
		return
	}
	r.checkSound(now)
	if r.watch.lost {
		r.alarms.active = slices.DeleteFunc(r.alarms.active, func(a Alarm) bool { return a.Kind == verdict.InputLost })
		since := now.Add(-r.watch.away)
		r.alarms.active = append(r.alarms.active, Alarm{verdict.InputLost, fmt.Sprintf("input away for %.0f s", r.watch.away.Seconds()), since})
	} else {
		r.alarm(now, verdict.InputLost, false, "")
	}
}

// checkSound looks at what the rolling take's input sounds like.
func (r *Recorder) checkSound(now time.Time) {
	m := r.roll.meter
	if clips := m.clips(); clips > r.roll.clips {
		r.roll.clips, r.alarms.clipped = clips, now
	}
	r.alarm(now, verdict.InputClipped, now.Sub(r.alarms.clipped) < clipHold, "input clipped: turn the interface's gain down")
	quiet := duration(m.silent, r.config.Format.RateHz)
	after := r.config.SilenceAfter
	r.alarm(now, verdict.Silence, after > 0 && quiet >= after, "no sound for %.0f s: is the microphone on?", quiet.Seconds())
}

// checkCounts looks at frames that were lost on the way.
func (r *Recorder) checkCounts(now time.Time) {
	lag, dropped := r.intake.lag.Load(), r.dropped.Load()
	newLag, newDropped := lag-r.alarms.lag, dropped-r.alarms.dropped
	if newLag > 0 || newDropped > 0 {
		r.alarms.counted = now
	}
	r.alarms.lag, r.alarms.dropped = lag, dropped
	held := now.Sub(r.alarms.counted) < clipHold
	r.alarm(now, verdict.Lagging, newLag > 0 || held && r.alarmed(verdict.Lagging), "the disk can't keep up: %d frames became silence", lag)
	r.alarm(now, verdict.Dropouts, newDropped > 0 || held && r.alarmed(verdict.Dropouts), "%d frames dropped out", dropped)
}

func (r *Recorder) alarmed(kind verdict.Code) bool {
	return slices.ContainsFunc(r.alarms.active, func(a Alarm) bool { return a.Kind == kind })
}
