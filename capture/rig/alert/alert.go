// Package alert decides when a person who looks elsewhere is told that
// something is wrong.
//
// It is fed the conditions of a rig, as they stand, and gives what is to be told
// now: each condition when it comes up, not while it stays, and of one kind no
// more than one in [Apart]. What comes up sooner is told when that time is over,
// if it still stands. How it is told is chosen by kind; a face does it.
package alert

import (
	"slices"
	"time"

	"rollready/dsp/verdict"
	"rollready/presets"
)

// Apart is the least time between two alerts of one kind.
const Apart = 10 * time.Second

// Alert is something to be told now. A plain value.
type Alert struct {
	Kind presets.AlertKind
	Ways presets.AlertWays
	What verdict.Finding
}

// kinds are the conditions that count, and as which kind.
var kinds = map[verdict.Code]presets.AlertKind{
	verdict.RecordingFailed: presets.AlertTakeStopped,
	verdict.InputLost:       presets.AlertInputLost,
	verdict.MeteringStopped: presets.AlertInputLost,
	verdict.InputClipped:    presets.AlertClipped,
	verdict.OutputClipped:   presets.AlertClipped,
	verdict.Silence:         presets.AlertSilence,
	verdict.DiskLow:         presets.AlertRunningLow,
	verdict.BatteryLow:      presets.AlertRunningLow,
	verdict.CameraLost:      presets.AlertCameraLost,
	verdict.CameraMuted:     presets.AlertCameraLost,
}

// Watch remembers what was told. The zero Watch has told nothing. One goroutine
// uses it.
type Watch struct {
	on   []verdict.Code // as of the last look
	owed [presets.AlertKinds]verdict.Finding
	last [presets.AlertKinds]time.Time
}

// Look takes the conditions of a moment and gives what is to be told, the
// gravest kind first.
func (w *Watch) Look(now time.Time, conditions []verdict.Finding, chosen presets.Alerts) (tell []Alert) {
	on := make([]verdict.Code, 0, len(conditions))
	for _, c := range conditions {
		kind, counts := kinds[c.Code]
		if !counts || slices.Contains(on, c.Code) {
			continue
		}
		on = append(on, c.Code)
		if !slices.Contains(w.on, c.Code) {
			w.owed[kind] = c
		}
	}
	w.on = on
	for kind, owed := range w.owed {
		switch {
		case owed.Code == "":
			continue
		case !slices.Contains(on, owed.Code): // over before it could be told
		case now.Sub(w.last[kind]) < Apart:
			continue
		case chosen[kind] != 0:
			w.last[kind] = now
			tell = append(tell, Alert{presets.AlertKind(kind), chosen[kind], owed})
		}
		w.owed[kind] = verdict.Finding{}
	}
	return tell
}
