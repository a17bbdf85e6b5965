package rig

import (
	"time"

	"rollready/dsp/verdict"
)

// pause follows the voice of the take that rolls. Times count from its begin,
// in its own frames.
type pause struct {
	path   string // of the take
	spoken bool   // a voice was heard in it
	since  time.Duration
	ended  bool
}

const (
	voiceNow = 0.5  // seconds since a voice, for it to be there now
	nearDB   = 12.0 // a sound so near the voice's own peaks may be the voice again
)

// stopInPause ends a take some time after the last word in it, if that is set.
// The pause stays in the take as its tail. What is no pause of a voice never
// ends a take: a microphone that is away, or so silent that it must be switched
// off, a sound as loud as the voice, room tone.
func (r *Rig) stopInPause(s *State) {
	now := s.Rec.Elapsed
	if path := s.Rec.Take.Path; !s.Rec.Rolling || path != r.pause.path {
		r.pause = pause{since: now}
		if s.Rec.Rolling {
			r.pause.path = path
		}
	}
	set := time.Duration(s.Settings.StopSilenceS) * time.Second
	if set == 0 || !s.Rec.Rolling || s.Rec.Take.RoomTone || r.pause.ended {
		return
	}
	speaks := s.Reading.Heard.PauseSeconds < voiceNow && !s.Dead()
	r.pause.spoken = r.pause.spoken || speaks
	if speaks || s.Dead() || s.Rec.Lost || !s.quietRoom() {
		r.pause.since = now
	}
	if r.pause.spoken && now-r.pause.since >= set {
		r.pause.ended = true
		r.parts.Go(func() { _, _ = r.Stop() }) // an error stands in the recorder's status
	}
}

// quietRoom tells that a room is heard, and in it nothing as loud as the voice.
func (s *State) quietRoom() bool {
	loudest := verdict.SilentPeakDBFS
	for c := range s.Reading.Channels {
		loudest = max(loudest, s.Reading.Input[c].TruePeakDBTP)
	}
	h := s.Reading.Heard
	return loudest > verdict.SilentPeakDBFS && loudest < h.Channels[h.Voice].SpeechDBTP-nearDB
}
