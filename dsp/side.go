package dsp

import (
	"rollready/dsp/ballistics"
	"rollready/dsp/db"
	"rollready/dsp/level"
	"rollready/dsp/truepeak"
)

// side is the meters of the input or of the output.
type side struct {
	channels  int
	level     *level.Meter
	truePeak  *truepeak.Meter
	movements map[Ballistics]*ballistics.Meter // other than DigitalPeak
	moving    *ballistics.Meter                // the chosen one; nil: DigitalPeak
	hold      [MaxChannels]level.Hold
	peaks     [MaxChannels]peaks
}

// peaks is the true peak of one channel: its bar and its maximum.
type peaks struct {
	bar level.Bar
	max float64 // amplitude
	hop float64 // of the last hop, the same
}

func newSide(rateHz, channels int) *side {
	s := &side{channels: channels, level: level.New(rateHz, channels), truePeak: truepeak.New(rateHz, channels),
		movements: map[Ballistics]*ballistics.Meter{
			PPMTypeI:  ballistics.New(ballistics.PPMTypeI, rateHz, channels),
			PPMTypeII: ballistics.New(ballistics.PPMTypeII, rateHz, channels),
			VU:        ballistics.New(ballistics.VU, rateHz, channels),
		}}
	for c := range s.peaks {
		s.peaks[c].bar = level.NewBar()
		s.hold[c] = level.NewHold(0)
	}
	return s
}

// process takes one hop.
func (s *side) process(hop []float32) {
	s.level.Process(hop)
	s.truePeak.Process(hop)
	if s.moving != nil {
		s.moving.Process(hop)
	}
	for c := range s.channels {
		s.hold[c].Push(db.FromAmplitude(s.level.TakeMax(c)))
		peak := s.truePeak.TakeMax(c)
		s.peaks[c].hop = peak
		s.peaks[c].bar.Push(db.FromAmplitude(peak))
		s.peaks[c].max = max(s.peaks[c].max, peak)
	}
}

func (s *side) read(c int) Level {
	bar := s.level.PeakDBFS(c)
	if s.moving != nil {
		bar = s.moving.LevelDBFS(c)
	}
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

func (s *side) setHold(seconds float64) {
	for c := range s.hold {
		s.hold[c].SetSeconds(seconds)
	}
}

// setBallistics changes how the bar moves; the new bar starts from silence.
func (s *side) setBallistics(b Ballistics) {
	s.moving = s.movements[b]
	if s.moving != nil {
		s.moving.Reset()
	}
}

func (s *side) resetHolds() {
	s.level.ResetCounts()
	for c := range s.hold {
		s.hold[c].Clear()
		s.peaks[c].max = 0
	}
}
