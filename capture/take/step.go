package take

import (
	"fmt"
	"time"

	"rollready/dsp/verdict"
)

// step does what there is to do at a moment: the frames that came, the words
// that were said, the input, the disk, the alarms. The recorder's goroutine
// calls it; tests call it with a time of their own.
func (r *Recorder) step(now time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	change, silence := r.watch.look(now)
	if r.roll == nil {
		r.idle(change)
	} else {
		r.rolling(now, change, silence)
	}
	if r.disk.look(r, now) && r.roll != nil && r.roll.moved() {
		r.end(now, errMoved)
	}
	r.checkAlarms(now)
	if r.roll != nil && r.disk.left(r) == 0 {
		r.end(now, errDiskFull)
	}
	r.publish(now)
}

// idle keeps the pre-record. Sound from before a loss does not join what
// comes after it.
func (r *Recorder) idle(change verdict.Code) {
	if change != "" {
		r.intake.keepNone()
	}
	r.intake.keep(r.leadFrames(false))
	r.clearInbox()
}

func (r *Recorder) rolling(now time.Time, change verdict.Code, silence int64) {
	r.takeInbox()
	if change != verdict.InputBack {
		r.takeSlate()
	}
	if change == verdict.InputLost {
		r.drain(now) // what came before
		r.mark(r.roll.file.Frames(), "input lost")
		r.event(now, verdict.InputLost, "the input stopped; silence goes on in its place")
	}
	r.addSilence(now, silence)
	if change == verdict.InputBack && r.roll != nil {
		r.mark(r.roll.file.Frames(), "input back")
		r.event(now, verdict.InputBack, fmt.Sprintf("the input is back after %.1f s", r.watch.away.Seconds()))
		r.takeSlate() // it sounded since the return, after the silence
	}
	r.drain(now)
	if r.roll == nil {
		return
	}
	if r.roll.dirty && now.Sub(r.roll.saved) >= saveEvery {
		r.bringUpToDate()
		if err := Save(r.roll.take); err != nil {
			r.event(now, verdict.RecordingFailed, err.Error()) // the sound goes on
		}
		r.roll.saved, r.roll.dirty = now, false
	}
}

// drain writes every frame that the watch has seen. One that came since may
// follow a silence that is not yet written.
func (r *Recorder) drain(now time.Time) {
	for r.roll != nil {
		most := min(2048, r.room(), r.watch.seen()-r.intake.at)
		frames := r.intake.next(r.scratch[:2*int64(r.config.Format.Channels)*max(0, most)])
		if frames == 0 {
			break
		}
		part := r.scratch[:2*int64(r.config.Format.Channels)*frames]
		laid := r.lay(part)
		r.roll.meter.process(laid)
		r.write(now, r.kept(laid))
	}
	if r.roll != nil {
		r.makeGood(now, goodEvery)
	}
}

// room is how many frames the take still has room for.
func (r *Recorder) room() int64 {
	if r.roll.limit == 0 {
		return 1 << 62
	}
	return r.roll.limit - r.roll.file.Frames()
}

// lay makes frames of all tracks out of the intake's.
func (r *Recorder) lay(frames []float32) []float32 {
	c := r.config.Format.Channels
	r.laid = r.laid[:0]
	for ; len(frames) > 0; frames = frames[2*c:] {
		r.laid = append(r.laid, frames[:2*c]...)
		if r.config.Safety {
			for _, x := range frames[:c] {
				r.laid = append(r.laid, x*safetyFactor)
			}
		}
	}
	return r.laid
}

// kept gives of all tracks those that the file keeps.
func (r *Recorder) kept(laid []float32) []float32 {
	if !r.config.NoInput {
		return laid
	}
	c, width := r.config.Format.Channels, len(r.config.measured())
	r.block = r.block[:0]
	for ; len(laid) > 0; laid = laid[width:] {
		r.block = append(append(r.block, laid[:c]...), laid[2*c:width]...)
	}
	return r.block
}

// write writes frames of the file, makes them good in time, and ends the take
// where the disk fails or the take is as long as it should be.
func (r *Recorder) write(now time.Time, block []float32) {
	if err := r.roll.file.Write(block); err != nil {
		r.end(now, err)
		return
	}
	if r.room() <= 0 {
		r.event(now, verdict.Stopped, "stopped after the length that was asked for")
		r.end(now, nil)
		return
	}
	r.makeGood(now, goodBacklog)
}

// makeGood does so where so much sound was written since the last time.
func (r *Recorder) makeGood(now time.Time, due time.Duration) {
	file := r.roll.file
	if duration(file.Frames()-file.Good(), r.config.Format.RateHz) < due {
		return
	}
	if err := file.MakeGood(); err != nil {
		r.end(now, err)
	}
}

// addSilence writes silence for an input that is away.
func (r *Recorder) addSilence(now time.Time, frames int64) {
	tracks := len(r.config.tracks())
	for r.roll != nil && frames > 0 {
		n := min(frames, 2048, r.room())
		r.roll.added += n
		r.roll.meter.gap(n)
		r.block = append(r.block[:0], make([]float32, n*int64(tracks))...)
		r.write(now, r.block)
		frames -= n
	}
	if r.roll != nil {
		r.makeGood(now, goodEvery)
	}
}

// takeInbox takes up markers and the note.
func (r *Recorder) takeInbox() {
	r.inboxMu.Lock()
	words, note := r.inbox, r.note
	r.inbox, r.note = nil, nil
	r.inboxMu.Unlock()
	for _, w := range words {
		r.markAt(w)
	}
	if note != nil {
		r.roll.take.Note = *note
		r.roll.dirty = true
	}
}

// takeSlate marks a slate tone that began in frames the watch has seen.
func (r *Recorder) takeSlate() {
	if at := r.slate.began.Load(); at >= 0 && at < r.watch.seen() && r.slate.began.CompareAndSwap(at, -1) {
		r.markAt(word{at, "slate"})
	}
}

func (r *Recorder) markAt(w word) { r.mark(w.at-r.roll.from+r.roll.added, w.text) }

func (r *Recorder) mark(frame int64, text string) {
	if frame >= 0 && len(r.roll.take.Markers) < maxMarkers {
		r.roll.take.Markers = append(r.roll.take.Markers, Marker{Frame: frame, Text: text})
		r.roll.dirty = true
	}
}

// Bounds on what a take can gather.
const (
	maxMarkers = 5000
	maxEvents  = 1000
)

// event logs something in the rolling take.
func (r *Recorder) event(now time.Time, kind verdict.Code, text string) {
	if r.roll == nil || len(r.roll.take.Events) >= maxEvents {
		return
	}
	e := Event{At: now.Round(0), Frame: r.roll.file.Frames(), Kind: kind, Text: text}
	r.roll.take.Events = append(r.roll.take.Events, e)
	r.roll.dirty = true
}

// clock is a duration as 1:02:03.
func clock(d time.Duration) string {
	s := int(d.Seconds())
	if s < 3600 {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}
