package dsp

import (
	"rollready/dsp/db"
	"rollready/dsp/level"
)

// side is the meters of the input or of the output.
type side struct {
	level *level.Meter
	hold  [MaxChannels]level.Hold
	peaks [MaxChannels]peaks
}

// peaks is the true peak of one channel: its bar and its maximum.
type peaks struct {
	bar level.Bar
	max float64 // amplitude
}

func newSide(rateHz, channels int) side {
	s := side{level: level.New(rateHz, channels)}
	for c := range s.peaks {
		s.peaks[c].bar = level.NewBar()
		s.hold[c] = level.NewHold(0)
	}
	return s
}

// process takes one hop.
func (s *side) process(hop []float32, channels int) {
	s.level.Process(hop)
	for c := range channels {
		peak := s.level.TakeMax(c)
		s.hold[c].Push(db.FromAmplitude(peak))
		s.peaks[c].bar.Push(db.FromAmplitude(peak))
		s.peaks[c].max = max(s.peaks[c].max, peak)
	}
}

func (s *side) read(c int) Level {
	bar := s.level.PeakDBFS(c)
	return Level{
		PeakDBFS:     bar,
		HoldDBFS:     max(bar, s.hold[c].DBFS()),
		TruePeakDBTP: s.peaks[c].bar.DBFS(),
		MaxDBTP:      db.FromAmplitude(s.peaks[c].max),
		RMSDBFS:      s.level.RMSDBFS(c),
		ClippedRuns:  s.level.ClippedRuns(c),
		FlatTops:     s.level.FlatTops(c),
	}
}

func (s *side) setView(v View) {
	for c := range s.hold {
		s.hold[c].SetSeconds(v.HoldSeconds)
	}
}

func (s *side) resetHolds() {
	s.level.ResetCounts()
	for c := range s.hold {
		s.hold[c].Clear()
		s.peaks[c].max = 0
	}
}
