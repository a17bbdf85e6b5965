package output

import (
	"sync/atomic"

	"rollready/capture"
	"rollready/capture/rig/session"
	"rollready/dsp/compare"
	"rollready/dsp/howl"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
)

// stage makes sound for one device out of one tap. It belongs to the device's
// callback; play, and the pair's setters, may be called from elsewhere.
type stage struct {
	way     *Way
	session capture.Format
	device  capture.Format
	line    *line
	pair    *compare.Pair
	heard   *compare.Fader // of the sources
	guard   *howl.Guard    // nil on the way to the camera

	fed     *compare.Fader                   // what feeds the pair: live input, or one of two loops
	players [2]atomic.Pointer[phrase.Player] // in turns, so that one loop fades into the next
	turn    int                              // play's own

	folds   [sources]*strips.Fold // of what has the channels of the strips; nil: it is stereo
	folded  [sources][]float32
	mixed   []float32 // stereo, at the session's rate
	piece   []float32 // stereo, at the device's rate
	signals [sources][]float32
	feeds   [3][]float32
}

// stereo is how many channels a way carries.
const stereo = 2

// live is the feed of the pair that is not a loop; loop i is feed i+1.
const live = 0

func newStage(t *session.Tap, dev capture.Format, period int, w *Way) *stage {
	f := t.Format()
	st := &stage{way: w, session: f, device: dev, line: newLine(t, dev.RateHz, period, &w.counts),
		pair: compare.NewPair(f.RateHz, f.Channels), heard: compare.NewFader(f.RateHz, stereo),
		fed: compare.NewFader(f.RateHz, f.Channels)}
	if !w.options.Camera {
		st.guard = howl.New(f.RateHz, stereo)
	}
	st.heard.Jump(int(w.source.Load()))
	st.mixed = make([]float32, maxNeed*stereo)
	for _, s := range [...]Source{Input, SideA, SideB} {
		st.folds[s], st.folded[s] = w.session.Ears().Fold(f.RateHz, f.Channels), make([]float32, maxNeed*stereo)
	}
	for i := range st.players {
		st.feeds[i+1] = make([]float32, maxNeed*f.Channels)
	}
	st.piece = make([]float32, st.line.pieceFrames*stereo)
	return st
}

// play changes what feeds the pair. With the way's mu held.
func (st *stage) play(l *phrase.Loop) {
	if l == nil || !st.suits(l) {
		st.fed.Choose(live)
		return
	}
	st.players[st.turn].Store(phrase.NewPlayer(l))
	st.turn = 1 - st.turn
	st.fed.Choose(2 - st.turn)
}

func (st *stage) suits(l *phrase.Loop) bool {
	rateHz, channels := l.Format()
	return rateHz == st.session.RateHz && channels == st.session.Channels
}

// fill makes one block of the device, at full level. Audio thread.
func (st *stage) fill(block []float32) {
	n := st.device.Channels
	st.line.steer(len(block) / n)
	for len(block) >= n {
		frames := min(st.line.pieceFrames, len(block)/n)
		piece := st.piece[:frames*stereo]
		st.line.fill(piece, st)
		spread(block[:frames*n], n, piece)
		block = block[frames*n:]
	}
}

// choose makes what is heard out of frames of the strips and of their feed, in
// step. The result is valid until the next call. Audio thread.
func (st *stage) choose(in, feed []float32) []float32 {
	st.heard.Choose(int(st.way.source.Load()))
	st.signals[Output] = feed
	st.fold(Input, in)
	// Both sides run as soon as one is heard: a switch finds the other warm.
	if st.heard.Needs(int(SideA)) || st.heard.Needs(int(SideB)) {
		sides := st.pair.Process(st.feed(in))
		st.fold(SideA, sides[compare.A].Strips)
		st.fold(SideB, sides[compare.B].Strips)
	}
	mixed := st.mixed[:len(feed)]
	st.heard.Process(mixed, st.signals[:])
	st.listen(mixed)
	return mixed
}

// fold brings the channels of the strips to the two that are heard.
func (st *stage) fold(s Source, frames []float32) {
	st.signals[s] = st.folded[s][:len(frames)/st.session.Channels*stereo]
	st.folds[s].Process(st.signals[s], frames)
}

// feed gives what the pair works on.
func (st *stage) feed(in []float32) []float32 {
	feeds := [3][]float32{in, st.feeds[1][:len(in)], st.feeds[2][:len(in)]}
	idle := true
	for i := range st.players {
		if p := st.players[i].Load(); p != nil {
			p.Read(feeds[i+1])
			idle = false
		}
	}
	if idle {
		return in
	}
	st.fed.Process(feeds[1], feeds[:])
	return feeds[1]
}

// listen lets the howl guard hear, and mutes when it fires.
func (st *stage) listen(mixed []float32) {
	if st.guard == nil {
		return
	}
	if a, fired := st.guard.Process(mixed); fired && !st.way.level.muted.Swap(true) {
		st.way.alarm.raise(a)
	}
}

// spread copies stereo frames onto the device's channels: to the first two, or
// as their mean to a device of one.
func spread(dst []float32, to int, src []float32) {
	for i, k := 0, 0; i+to <= len(dst); i, k = i+to, k+stereo {
		left, right := src[k], src[k+1]
		if to == 1 {
			dst[i] = (left + right) / 2
			continue
		}
		dst[i], dst[i+1] = left, right
	}
}

// delayMS is the delay we know of: what waits in the ring, the reach of the
// resampler, the limiter of the source that is heard, and one period that the
// device holds. What the sound system adds beyond that, only a measurement
// with a click round the loop can tell.
func (st *stage) delayMS(s Source, chainFrames, periodFrames int) float64 {
	frames := float64(st.line.shown.fill.Load()) + float64(st.line.resampler.ReachFrames())
	if f := st.folds[s]; f != nil {
		frames += float64(f.LatencyFrames())
	}
	switch s {
	case Output:
		frames += float64(chainFrames)
	case SideA, SideB:
		frames += float64(st.pair.LatencyFrames(compare.Side(s - SideA)))
	}
	return 1000 * (frames/st.line.rateHz + float64(periodFrames)/float64(st.device.RateHz))
}
