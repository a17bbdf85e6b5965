package survey

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/finding"
	"rollready/dsp/hum"
	"rollready/dsp/pair"
)

// facts is what the stages find besides the figures of the Result.
type facts struct {
	ch    int // channel of the voice, from 0
	voice []voiceFacts
	low   []lowFacts
	pair  *pair.Meter // nil unless stereo
	holes int64
}

type voiceFacts struct {
	dBFS        float64 // without the noise
	overRoomDBA float64
}

type lowFacts struct {
	hum     hum.Hum
	rumble  float64 // mean square
	gustsDB float64
}

// judge lists the findings, the most important first.
func (f *facts) judge(r *Result) []finding.Finding {
	found := []finding.Finding{}
	if f.holes > 0 {
		found = append(found, finding.FramesLost(f.holes))
	}
	if float64(r.RMSDBFS[f.ch]) < finding.SilentDBFS {
		return append(found, finding.NothingComesIn())
	}
	found = append(found, f.judgeChannels(r)...)
	found = append(found, f.judgePair()...)
	found = append(found, f.judgeRoom()...)
	finding.Sort(found)
	return found
}

func (f *facts) judgeChannels(r *Result) (found []finding.Finding) {
	for c := range r.Channels {
		name := c + 1
		if r.Channels == 1 {
			name = 0
		}
		if runs := r.ClippedRuns[c]; runs > 0 {
			found = append(found, finding.Clipped(name, runs))
		}
		if tops := r.FlatTops[c]; tops > 0 {
			found = append(found, finding.FlatTops(name, tops))
		}
		if dc := float64(r.DCOffset[c]); math.Abs(dc) > finding.OffsetLimit {
			found = append(found, finding.Offset(name, dc))
		}
		if h := f.low[c].hum; h.Present {
			under := f.voice[f.ch].dBFS - h.LevelDBFS
			found = append(found, finding.MainsHum(finding.HumSeverity(under), name, h.MainsHz, h.LevelDBFS, under))
		}
	}
	return found
}

func (f *facts) judgePair() []finding.Finding {
	if f.pair == nil {
		return nil
	}
	other := 1 - f.ch
	return finding.Pair(f.voice[f.ch].dBFS-f.voice[other].dBFS, other+1, f.pair.Correlation(), f.pair.MonoDB())
}

func (f *facts) judgeRoom() (found []finding.Finding) {
	voice, low := f.voice[f.ch], f.low[f.ch]
	if noisy, is := finding.Room(voice.overRoomDBA); is {
		found = append(found, noisy)
	}
	switch under := voice.dBFS - db.RMS(low.rumble); {
	case under >= finding.RumbleDB:
	case low.gustsDB > finding.GustsDB:
		found = append(found, finding.Wind(under, 0))
	default:
		found = append(found, finding.LowRumble(under, 0))
	}
	return found
}
