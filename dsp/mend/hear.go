package mend

import (
	"math"
	"slices"

	"rollready/dsp/db"
)

const (
	blocksPerSecond = 200
	cellBlocks      = 20   // a tenth of a second, for the gain
	emphasis        = 0.95 // first difference, so that wind and rumble count little
	flatRun         = 3    // samples at the ceiling
	flatWithin      = 0.003
	holeS           = 0.002 // of zeros amid sound
)

// block is what is kept of 5 ms.
type block struct {
	cam, take         float32 // powers, rumble taken off
	camPeak, takePeak float32
	run               float32 // level of the longest flat run of the camera, 0: none
	takeRun           float32
	zeros             float32 // share of samples that are nothing
}

// Listener hears a camera's channel beside the take. One goroutine uses it.
type Listener struct {
	rateHz int
	blocks []block
	now    block
	filled int
	size   int
	last   [2]float32 // sample of camera and take
	flat   [2]int     // length of the run
}

// NewListener makes a listener.
func NewListener(rateHz int) *Listener {
	return &Listener{rateHz: rateHz, size: rateHz / blocksPerSecond}
}

// Process takes as many samples of the camera's channel as of the take.
func (l *Listener) Process(cam, take []float32) {
	for i, c := range cam {
		t := take[i]
		dc, dt := c-emphasis*l.last[0], t-emphasis*l.last[1]
		l.now.cam, l.now.take = l.now.cam+dc*dc, l.now.take+dt*dt
		l.now.camPeak, l.now.takePeak = max(l.now.camPeak, c, -c), max(l.now.takePeak, t, -t)
		if c == 0 {
			l.now.zeros++
		}
		l.run(0, c, &l.now.run)
		l.run(1, t, &l.now.takeRun)
		l.last = [2]float32{c, t}
		if l.filled++; l.filled == l.size {
			l.end()
		}
	}
}

// run follows how long a channel stays at one level, far from silence.
func (l *Listener) run(channel int, x float32, top *float32) {
	if d := x - l.last[channel]; max(d, -d) > flatWithin*max(x, -x) || max(x, -x) < 0.1 {
		l.flat[channel] = 1
		return
	}
	if l.flat[channel]++; l.flat[channel] >= flatRun {
		*top = max(*top, x, -x)
	}
}

func (l *Listener) end() {
	n := float32(l.size)
	l.now.cam, l.now.take, l.now.zeros = l.now.cam/n, l.now.take/n, l.now.zeros/n
	l.blocks = append(l.blocks, l.now)
	l.now, l.filled = block{}, 0
}

// Fault is what was wrong.
type Fault string

// The faults.
const (
	Clipped   Fault = "clipped"
	BrokenUp  Fault = "broken up"
	AutoLevel Fault = "automatic level"
	LostTime  Fault = "lost time"
)

// Stretch is a part of the clip in which the camera's sound is bad. A plain
// value; frames from its begin.
type Stretch struct {
	From    int64   `json:"from"`
	To      int64   `json:"to"`
	Faults  []Fault `json:"faults"`
	TakeBad bool    `json:"take_bad"` // the take is no better there
	MovedDB float64 `json:"moved_db"` // how far the camera's level was off
}

// Verdict is what a clip's sound is like beside its take. A plain value.
type Verdict struct {
	GainDB    float64   `json:"gain_db"`   // how much louder the camera's sound is
	MovesDB   float64   `json:"moves_db"`  // from its 5 % to its 95 % level, against the take
	GainsDB   []float64 `json:"-"`         // per tenth of a second; silence is the clip's mean
	Stretches []Stretch `json:"stretches"` // in order
	BadS      float64   `json:"bad_s"`     // of it, in all
}

// Verdict ends the listening.
func (l *Listener) Verdict(covered func(atS float64) bool) Verdict {
	h := newHeard(l, covered)
	marks := make([]marks, len(l.blocks))
	h.clipped(marks)
	h.broken(marks)
	h.moved(marks)
	v := Verdict{GainDB: h.gain, MovesDB: h.moves(), GainsDB: h.filledGains()}
	v.Stretches = h.stretches(marks)
	for _, s := range v.Stretches {
		v.BadS += float64(s.To-s.From) / float64(l.rateHz)
	}
	return v
}

// heard is what the listener makes of its blocks.
type heard struct {
	*Listener
	covered            func(atS float64) bool
	camFloor, tkFloor  float32   // powers that a tenth of the blocks do not reach
	gains              []float64 // per cell, dB; NaN where nobody speaks
	near               []float64 // the same, median of some seconds around
	gain               float64   // of all
	ceiling, tkCeiling float32
}

func newHeard(l *Listener, covered func(atS float64) bool) *heard {
	h := &heard{Listener: l, covered: covered}
	h.camFloor, h.tkFloor = floor(l.blocks, func(b block) float32 { return b.cam }), floor(l.blocks, func(b block) float32 { return b.take })
	for at := 0; at < len(l.blocks); at += cellBlocks {
		h.gains = append(h.gains, h.cell(at))
	}
	h.gain = median(h.gains)
	h.near = make([]float64, len(h.gains))
	const around = 30 // cells
	for i := range h.near {
		h.near[i] = median(h.gains[max(0, i-around):min(len(h.gains), i+around+1)])
		if math.IsNaN(h.near[i]) {
			h.near[i] = h.gain
		}
	}
	for _, b := range l.blocks {
		h.ceiling, h.tkCeiling = max(h.ceiling, b.camPeak), max(h.tkCeiling, b.takePeak)
	}
	h.ceiling = min(h.ceiling, 1) // codecs overshoot what was full scale
	return h
}

// floor is the power that a tenth of what is no digital silence stays under.
func floor(blocks []block, of func(block) float32) float32 {
	var all []float32
	for _, b := range blocks {
		if p := of(b); p > 0 {
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/10]
}

const (
	takeOver = 16.0 // the take is that many times over its floor: somebody speaks
	camOver  = 4.0
)

// cell gives how much louder the camera is in a tenth of a second, dB.
func (h *heard) cell(at int) float64 {
	var cam, take float64
	n := 0
	for i := at; i < min(at+cellBlocks, len(h.blocks)); i++ {
		b := h.blocks[i]
		if b.take > takeOver*h.tkFloor && b.zeros < 0.5 && h.covered(h.seconds(i)) {
			cam, take, n = cam+float64(b.cam), take+float64(b.take), n+1
		}
	}
	if n < cellBlocks/4 || cam < camOver*float64(h.camFloor)*float64(n) {
		return math.NaN()
	}
	return db.FromPower(cam / take)
}

func (h *heard) seconds(block int) float64 { return (float64(block) + 0.5) / blocksPerSecond }

// median is that of the numbers known, NaN of none.
func median(x []float64) float64 {
	y := slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	if len(y) == 0 {
		return math.NaN()
	}
	slices.Sort(y)
	return y[len(y)/2]
}

// moves is how far the camera's level goes up and down by itself.
func (h *heard) moves() float64 {
	y := slices.DeleteFunc(h.smooth(), math.IsNaN)
	if len(y) < 20 {
		return 0
	}
	slices.Sort(y)
	return y[len(y)*95/100] - y[len(y)*5/100]
}

// smooth is the gain without what a single syllable does.
func (h *heard) smooth() []float64 {
	y := make([]float64, len(h.gains))
	for i := range y {
		y[i] = math.NaN()
		if !math.IsNaN(h.gains[i]) {
			y[i] = median(h.gains[max(0, i-3):min(len(h.gains), i+4)])
		}
	}
	return y
}

func (h *heard) filledGains() []float64 {
	y := h.smooth()
	for i := range y {
		if math.IsNaN(y[i]) {
			y[i] = h.gain
		}
		if math.IsNaN(y[i]) {
			y[i] = 0
		}
	}
	return y
}
