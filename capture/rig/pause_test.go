package rig

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/take"
	"rollready/presets"
)

// A take ends so many seconds after the last word in it and keeps them all;
// what is no pause of a voice ends none.
func TestATakeEndsInAPause(t *testing.T) {
	type moment struct {
		spoke    float64 // second of the take in which a voice was last heard
		peakDBTP float64
		lost     bool
	}
	room := func(int) moment { return moment{spoke: 8, peakDBTP: -55} }
	for name, c := range map[string]struct {
		set  int
		what take.What
		at   func(second int) moment
		want int // second of the end, 0: it rolls on
	}{
		"ten seconds":        {10, take.What{}, room, 18},
		"never":              {0, take.What{}, room, 0},
		"nobody spoke in it": {10, take.What{}, func(int) moment { return moment{-30, -55, false} }, 0},
		"speaks on":          {10, take.What{}, func(s int) moment { return moment{float64(s - s%7), -12, false} }, 0},
		"room tone":          {10, take.RoomTone("1"), room, 0},
		"switched off":       {10, take.What{}, func(int) moment { return moment{8, math.Inf(-1), false} }, 0},
		"away for long":      {10, take.What{}, func(s int) moment { return moment{8, -55, s > 10 && s < 40} }, 49},
		"louder than a room": {10, take.What{}, func(s int) moment {
			if s == 14 { // a word that no voice was found in
				return moment{8, -14, false}
			}
			return room(s)
		}, 24},
	} {
		s := newStand(t)
		s.parts.Go = func(f func()) { f() }
		s.Change(func(set *presets.Settings) { set.StopSilenceS = c.set })
		s.recorder.status = take.Status{Rolling: true, Take: take.Take{Path: "1.wav", RoomTone: c.what.RoomTone}}
		end := 0
		for tenth := 0; tenth < 600 && end == 0; tenth++ {
			now := c.at(tenth / 10)
			s.recorder.status.Elapsed = time.Duration(tenth) * 100 * time.Millisecond
			s.recorder.status.Lost, s.engine.status.Lost = now.lost, now.lost
			h := &s.engine.reading.Heard
			h.PauseSeconds = max(0, float64(tenth)/10-now.spoke)
			h.Channels[0].SpeechDBTP = -12
			for ch := range 2 {
				s.engine.reading.Input[ch].TruePeakDBTP = now.peakDBTP
			}
			st := s.State()
			s.tend(&st)
			if !s.recorder.status.Rolling {
				end = tenth / 10
			}
		}
		require.InDelta(t, c.want, end, 1, name)
	}
}
