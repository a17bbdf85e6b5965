package session

import (
	"cmp"
	"fmt"
	"runtime"
	"time"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/dsp"
	"rollready/dsp/phrase"
	"rollready/presets"
)

// phraseSeconds is how much of the input is always remembered.
const phraseSeconds = 10

// meterFrames is how much goes to the meter at once; after so many, under 2 ms
// of work, others may have the processor.
const (
	meterFrames = 480
	yieldAfter  = 5
)

// analyseFor is how long one pass may take.
const analyseFor = 20 * time.Millisecond

// useWiring meters what comes out of w from now on. The meter, with its holds
// and its integrated loudness, is kept while the format stays the same.
func (s *Session) useWiring(w *wiring) {
	s.wiring, s.zeros = w, 0
	defer s.compare()
	if s.memory != nil {
		s.memory.Reset()
	}
	if s.meter != nil && s.metering == w.format {
		s.meter.Forget() // another microphone is heard, or other channels
		return
	}
	s.metering = w.format
	s.memory = phrase.NewMemory(w.format.RateHz, w.format.Channels, phraseSeconds)
	s.meter = dsp.NewMeter(w.format.RateHz, w.format.Channels, s.options.View)
	s.in = make([]float32, meterFrames*w.format.Channels)
	s.out = make([]float32, meterFrames*w.format.Channels)
	s.fed = make([]float32, meterFrames*2)
}

// catchUp meters all that has come and then what waits at the source, as far as
// the time goes. It tells whether all is done.
func (s *Session) catchUp(until time.Time) (done bool) {
	more := true
	for s.analyse(until) {
		if !more {
			return true
		}
		more = s.feed.collect()
	}
	return false
}

// compare lets the meter tell people apart where each has their own strip.
func (s *Session) compare() {
	set := s.options.Strips.Fit(s.metering.Channels)
	s.meter.ComparePeople(set.Parted())
}

// analyse meters the frames that have come, input and output in step, until
// none is left or the time is up: the watchdog must have its turn even where
// the computer is too slow. It tells whether all are done.
func (s *Session) analyse(until time.Time) (done bool) {
	w := s.wiring
	for left, n := min(w.in.Len(), w.out.Len(), w.feed.Len()), 1; left > 0; n++ {
		if time.Now().After(until) {
			return false
		}
		frames := min(left, meterFrames)
		samples := frames * w.format.Channels
		in, out, fed := s.in[:samples], s.out[:samples], s.fed[:2*frames]
		left -= w.in.Read(in)
		w.out.Read(out)
		w.feed.Read(fed)
		if w.bank.Direct() {
			fed = nil
		}
		s.memory.Add(in)
		s.meter.Process(in, out, fed)
		s.countZeros(in)
		if n%yieldAfter == 0 {
			runtime.Gosched()
		}
	}
	return true
}

// countZeros counts the frames since the last sample that was not zero.
func (s *Session) countZeros(in []float32) {
	at := len(in) - 1
	for at >= 0 && in[at] == 0 {
		at--
	}
	if at >= 0 {
		s.zeros = 0
	}
	s.zeros += int64((len(in) - 1 - at) / s.metering.Channels)
}

// Phrase makes a loop of the last ten seconds of the input, before the chain,
// or of what there is since the input or its channels changed. The error says
// that it is too little. It takes some 20 ms, on the caller's goroutine.
func (s *Session) Phrase() (*phrase.Loop, error) {
	var frames []float32
	var f capture.Format
	if !s.ask(func() { frames, f = s.memory.Take(), s.metering }) {
		return nil, errClosed
	}
	return phrase.NewLoop(frames, f.RateHz, f.Channels)
}

func (s *Session) publish(now time.Time) {
	r := s.meter.Reading()
	s.reading.Store(&r)
	src := s.feed.source
	status := Status{Source: src.Name(), Kind: src.Kind(), SourceHz: src.Format().RateHz, Channels: src.Format().Channels, Picked: s.wiring.picked, Who: s.options.Strips.Names(),
		Lost: s.watch.lost, Returns: s.watch.returns, Ended: s.over,
		Dropouts: s.audio.dropouts.Load(), Sanitised: s.audio.sanitised.Load(), Notice: s.notice,
		LatencyFrames: s.wiring.bank.LatencyFrames(), ReductionDB: s.wiring.bank.ReductionDB()}
	if !s.watch.lost && s.metering.RateHz > 0 {
		status.Zeros = time.Duration(s.zeros) * time.Second / time.Duration(s.metering.RateHz)
	}
	if s.watch.lost {
		status.LostFor = now.Sub(s.watch.lostAt)
	}
	status.Fault = s.audio.fault.Text()
	if mixed, can := src.(interface{ Mixed() mixer.Setting }); can && !s.watch.lost {
		status.Mixed = mixed.Mixed()
		status.Notice = cmp.Or(status.Notice, mixedWords(status.Mixed))
	}
	if can, is := src.(interface{ Which() (key, mark string) }); is {
		status.Key, status.Mark = can.Which()
	}
	if can, is := src.(interface{ Monitor() bool }); is {
		status.Monitor = can.Monitor()
	}
	if src.Kind() == capture.Device {
		status.Before = s.before
	}
	s.status.Store(&status)
}

// mixedWords tell what the sound system does to an input before it is metered
// here, "" if nothing or unknown.
func mixedWords(m mixer.Setting) string {
	change, way := m.Volume.LoudestDB, "up"
	if change < 0 {
		change, way = -change, "down"
	}
	switch {
	case m.Muted:
		return "The system mutes this input: unmute it there"
	case !m.Volume.Differs(presets.Volume{Known: true}):
		return ""
	case m.Volume.Uneven():
		return "The system turns this input's balance: set it to the middle at 0 dB"
	}
	return fmt.Sprintf("The system turns this input %s by %.1f dB: set it to 0 dB there", way, change)
}
