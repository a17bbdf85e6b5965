package take

import (
	"fmt"
	"slices"
	"time"
)

// Status is the state of a recorder. A plain value.
type Status struct {
	Rolling  bool
	Take     Take          // rolling or ended last; without levels while it rolls
	Elapsed  time.Duration // recorded, pre-record included
	Kept     time.Duration // pre-record that is there
	Fed      int64         // frames that came since the start
	Waiting  time.Duration // not on disk yet
	Lag      int64         // frames lost because the disk was too slow, since the start
	DiskFree int64         // bytes; −1: unknown
	DiskLeft time.Duration // that can still be recorded; negative: unknown
	Lost     bool          // the input is away
	Alarms   []Alarm
	Problem  error // why the last take ended by itself
}

// Status gives the newest state. It never waits.
func (r *Recorder) Status() Status { return *r.status.Load() }

func (r *Recorder) publish(now time.Time) {
	rate := r.config.Format.RateHz
	s := &Status{Take: r.last, Fed: r.intake.fed.Load(), Lag: r.intake.lag.Load(), DiskFree: r.disk.free, DiskLeft: r.disk.left(r),
		Lost: r.watch.lost, Alarms: slices.Clone(r.alarms.active), Problem: r.problem}
	waiting := duration(r.intake.waiting(), rate)
	if r.roll == nil {
		s.Kept = waiting
		r.status.Store(s)
		return
	}
	r.bringUpToDate()
	s.Rolling, s.Waiting, s.Take = true, waiting, r.roll.take
	s.Take.Markers, s.Take.Events = slices.Clip(s.Take.Markers), slices.Clip(s.Take.Events)
	s.Elapsed = s.Take.Duration()
	r.status.Store(s)
}

// DiskWords says how much longer can be recorded.
func (s Status) DiskWords() string {
	if s.DiskLeft < 0 {
		return "room on the disk unknown"
	}
	minutes := int(s.DiskLeft.Minutes())
	return fmt.Sprintf("room on the disk for %d h %d min", minutes/60, minutes%60)
}
