package survey

import (
	"math"

	"rollready/capture"
	"rollready/capture/track"
	"rollready/dsp/bands"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	"rollready/dsp/hops"
	"rollready/dsp/loudness"
	"rollready/dsp/truepeak"
)

// newStages lists the costliest first: they set the pace.
func newStages(rateHz, channels int, found *facts) []stage {
	stages := []stage{
		newThird(rateHz, channels),
		newLevels(rateHz, channels, found),
		peaks{truepeak.New(rateHz, channels), channels},
		newLow(rateHz, channels, found),
		newRoom(rateHz, channels, found),
		newLoud(rateHz, channels),
	}
	if channels == 2 && found.who.Role == "" { // our own tracks are what leaves the strips
		stages = append(stages, newCopies(rateHz, found))
	}
	return stages
}

// peaks measures the true peak.
type peaks struct {
	*truepeak.Meter
	channels int
}

func (p peaks) process(block []float32) { p.Process(block) }

func (p peaks) finish(r *Result) {
	for c := range p.channels {
		r.TruePeakDBTP = append(r.TruePeakDBTP, figure.Figure(db.FromAmplitude(p.Max(c))))
	}
}

// loud measures loudness, also over time. All channels count alike.
type loud struct {
	hops.Hops
	*loudness.Meter
	short line
}

func newLoud(rateHz, channels int) *loud {
	return &loud{tenths(rateHz, channels), loudness.New(rateHz, channels), newLine()}
}

func (l *loud) process(block []float32) {
	l.Cut(block, l.Process, func() { l.short.push(l.ShortTerm()) })
}

func (l *loud) finish(r *Result) {
	if l.Begun() {
		l.short.push(l.ShortTerm())
	}
	r.Trace.ShortTermLUFS = l.short.points
	r.Whole = l.Whole()
}

// each measures the loudness of every channel by itself, so that recordings
// with unlike numbers of channels can be compared.
type each struct {
	ch    []*loudness.Meter
	block []float32
	found *facts
}

func newEach(rateHz, channels int, found *facts) *each {
	e := &each{found: found}
	for range channels {
		e.ch = append(e.ch, loudness.New(rateHz, 1))
	}
	return e
}

func (e *each) process(block []float32) {
	for c := range e.ch {
		e.block = e.block[:0]
		for at := c; at < len(block); at += len(e.ch) {
			e.block = append(e.block, block[at])
		}
		e.ch[c].Process(e.block)
	}
}

func (e *each) finish(*Result) {
	for _, m := range e.ch {
		e.found.lufs = append(e.found.lufs, m.Integrated())
	}
}

// newSingle is a Meter that also measures what one channel, that of the voice,
// is heard as.
func newSingle(f capture.Format, tracks []track.Track) *Meter {
	m := New(f, tracks)
	g := m.groups[0]
	g.stages = append(g.stages, pick(g.Channels, f.Channels, newEach(f.RateHz, len(g.Channels), g.found)))
	return m
}

// third measures the one-third-octave bands of the mean of all channels.
type third struct {
	hops.Hops
	*bands.Meter
	floors [bands.Count]floor
}

func newThird(rateHz, channels int) *third {
	return &third{Hops: tenths(rateHz, channels), Meter: bands.New(rateHz, channels)}
}

func (t *third) process(block []float32) {
	t.Cut(block, t.Process, func() {
		for i := range t.Usable() {
			t.floors[i].push(t.LevelDBFS(i))
		}
	})
}

func (t *third) finish(r *Result) {
	for i := range t.Usable() {
		r.Bands = append(r.Bands, Band{NominalHz: figure.Figure(bands.At(i).NominalHz), LevelDBFS: figure.Figure(t.MeanDBFS(i)),
			MaxDBFS: figure.Figure(t.MaxDBFS(i)), RoomToneDBFS: figure.Figure(t.floors[i].dBFS())})
	}
}

// floor finds the level that is exceeded nine tenths of the time.
type floor struct {
	counts [floorBins]int64
	total  int64
}

const (
	floorLowDBFS = -160
	floorPerDB   = 4
	floorBins    = 200 * floorPerDB
)

func (f *floor) push(dBFS float64) {
	f.counts[int(max(0, min(floorBins-1, floorPerDB*(dBFS-floorLowDBFS))))]++
	f.total++
}

func (f *floor) dBFS() float64 {
	below := int64(0)
	for i, n := range f.counts {
		if below += n; 10*below > f.total {
			if i == 0 {
				break
			}
			return floorLowDBFS + (float64(i)+0.5)/floorPerDB
		}
	}
	return math.Inf(-1)
}
