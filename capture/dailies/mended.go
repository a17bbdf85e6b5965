package dailies

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/mend"
)

const (
	fadeS     = 0.02
	aroundS   = 10.0 // of good sound on either side, to match level and tone by
	levelS    = 0.5  // the same, for the level alone
	longestS  = 60.0 // a longer stretch is better served by the take as a whole
	deadDB    = -30.0
	sameWave  = 0.6 // correlation
	mostLevel = 9.0 // dB that the level is corrected by

	quietShare = 0.05 // of the power of what is put in: where the camera is quieter around, its level tells little
	longRunS   = 2.0  // of good sound hold the room's ringing well enough, unless there is more between tops
	refineS    = 0.7  // of good sound in short runs do together
	sameRoomS  = 4.0  // a filter that was refined so long ago still holds
	leastRun   = 100  // frames that a good run holds
	underTop   = 0.8  // of the ceiling: a codec rounds tops
	worthwhile = 0.4  // of the clip is bad: take the take
)

// Mendable are the stretches that the take makes good.
func (c Clip) Mendable() (all []mend.Stretch) {
	if c.Heard == nil || c.Heard.BadS > worthwhile*c.LengthS() {
		return nil
	}
	for _, s := range c.Heard.Stretches {
		if !s.TakeBad && float64(s.To-s.From) < longestS*float64(c.RateHz) {
			all = append(all, s)
		}
	}
	return all
}

// mender renders a clip's mended sound. One goroutine uses it.
type mender struct {
	clip   Clip
	camera *laid
	takes  *beside
	fade   int64

	at      int64           // where the stretch begins
	moving  bool            // the camera's level moves around it
	refined map[int]refined // by channel
}

// writeMended writes the camera's sound with the bad stretches out of the take.
func (c Clip) writeMended(ctx context.Context, out Output, path string) error {
	camera, err := c.lay(ctx)
	if err != nil {
		return err
	}
	defer camera.close()
	m := &mender{clip: c, camera: camera, takes: newBeside(ctx, c), fade: int64(fadeS * float64(c.RateHz)), refined: map[int]refined{}}
	defer m.takes.close()
	meta := c.meta(nil)
	for i := range c.Channels {
		meta.Tracks = append(meta.Tracks, fmt.Sprintf("camera %d, mended", i+1))
	}
	w, err := bwf.Create(path, capture.Format{RateHz: c.RateHz, Channels: c.Channels}, wavfile.Float32, meta, nil)
	if err != nil {
		return err
	}
	err = m.stream(ctx, w, out.Frames)
	return errors.Join(err, w.Close(meta, nil))
}

func (m *mender) stream(ctx context.Context, w *bwf.Writer, frames int64) error {
	at := int64(0)
	for _, s := range m.clip.Mendable() {
		from, to := max(at, s.From-m.fade), min(frames, s.To+m.fade)
		if from >= to {
			continue
		}
		if err := m.copy(ctx, w, at, from); err != nil {
			return err
		}
		m.moving = slices.Contains(s.Faults, mend.AutoLevel)
		block, err := m.mended(from, to)
		if err == nil {
			err = w.Write(block)
		}
		if err != nil {
			return err
		}
		at = to
	}
	return m.copy(ctx, w, at, frames)
}

// copy leaves the camera's sound as it is.
func (m *mender) copy(ctx context.Context, w *bwf.Writer, from, to int64) error {
	block := make([]float32, readFrames*m.clip.Channels)
	for at := from; at < to; at += readFrames {
		if err := ctx.Err(); err != nil {
			return err
		}
		part := block[:min(readFrames, to-at)*int64(m.clip.Channels)]
		if err := errors.Join(m.camera.read(part, at), w.Write(part)); err != nil {
			return err
		}
	}
	return nil
}

// mended gives a stretch with its fades.
func (m *mender) mended(from, to int64) ([]float32, error) {
	around := int64(aroundS * float64(m.clip.RateHz))
	first, n := from-around, int(to-from+2*around)
	cam, take := make([]float32, n*m.clip.Channels), make([]float32, mend.Behind+n+mend.Ahead)
	if err := errors.Join(m.camera.read(cam, first), m.takes.read(take, first-mend.Behind)); err != nil {
		return nil, err
	}
	m.at = from
	good := m.goodRuns(first, first+int64(n))
	clipped := m.clippedRuns(first, first+int64(n))
	out := cam[around*int64(m.clip.Channels) : int(around+to-from)*m.clip.Channels]
	live := m.goodPower(cam, m.clip.Channel, good)
	for c := range m.clip.Channels {
		if m.goodPower(cam, c, good) < live*math.Pow(10, deadDB/10) {
			continue // a channel that was dead stays so
		}
		x := channelOf(cam, c, m.clip.Channels)
		m.channel(out, x, take, good, under(x, clipped), c, int(around))
	}
	return out, nil
}

// channel mends one channel of out. x is the camera's with what is around it,
// whole where it is under a ceiling.
func (m *mender) channel(out, x, take []float32, good, whole [][2]int, c, around int) {
	taps := m.filter(x, take, good, whole, c, around)
	// Of what is around, only as much is filtered as the level is told by.
	near := min(around, int(levelS*float64(m.clip.RateHz)))
	x, take = x[around-near:len(x)-(around-near)], take[around-near:]
	y := make([]float32, len(x))
	mend.Apply(y, take, taps)
	before, after := levels(x, y, shifted(good, around-near, len(x)), near, m.moving)
	cam, patch := x[near:len(x)-near], y[near:len(x)-near]
	for i := range patch {
		part := float64(i) / float64(len(patch))
		patch[i] *= float32(math.Pow(10, (before+(after-before)*part)/20))
	}
	mend.Join(cam, patch, int(m.fade))
	for i, v := range cam {
		out[i*m.clip.Channels+c] = v
	}
}

// power is the mean square.
func power(x []float32) (mean float64) {
	for _, v := range x {
		mean += float64(v) * float64(v) / float64(len(x))
	}
	return mean
}

// filter makes the take sound like a channel of the camera, whose sound x is
// with what is around the stretch.
func (m *mender) filter(x, take []float32, good, whole [][2]int, c, around int) []float64 {
	near := int64(sameRoomS * float64(m.clip.RateHz))
	if f, ok := m.refined[c]; ok && m.at-f.at < near {
		return f.taps
	}
	tone := mend.NewTone()
	for _, g := range good {
		tone.Add(x[g[0]:g[1]], take[mend.Behind+g[0]:mend.Behind+g[1]])
	}
	taps, ok := tone.Filter()
	if !ok {
		gain := math.Pow(10, m.clip.Heard.GainDB/20)
		if m.clip.Heard.Inverted {
			gain = -gain
		}
		return mend.Unity(gain)
	}
	whole = append(slices.Clone(good), whole...)
	if edge := m.edge(good, whole, around, len(x)); edge > 0 {
		from, to := around-edge, len(x)-around+edge
		taps = mend.Refine(taps, x[from:to], take[from:to+mend.Behind+mend.Ahead], shifted(whole, from, to-from))
		m.refined[c] = refined{m.at, taps}
	}
	return taps
}

// refined is a filter that cost much, and where it was made.
type refined struct {
	at   int64
	taps []float64
}

// edge is how much around a stretch the filter is refined in, 0 where there is
// too little good sound, or a run of it so long that there is nothing to do.
func (m *mender) edge(good, whole [][2]int, around, length int) int {
	rate := float64(m.clip.RateHz)
	for _, g := range good {
		if len(whole) == len(good) && float64(g[1]-g[0]) > longRunS*rate {
			return 0
		}
	}
	edge := min(around, (mend.RefineFrames-(length-2*around))/2)
	if edge <= 0 {
		return 0
	}
	sum := 0
	for _, g := range shifted(whole, around-edge, length-2*(around-edge)) {
		sum += g[1] - g[0]
	}
	if float64(sum) < refineS*rate {
		return 0
	}
	return edge
}

// shifted are the good runs within a span that begins later.
func shifted(good [][2]int, by, length int) (runs [][2]int) {
	for _, g := range good {
		if from, to := max(0, g[0]-by), min(length, g[1]-by); from < to {
			runs = append(runs, [2]int{from, to})
		}
	}
	return runs
}

// levels is how much louder the camera is than the filtered take just before
// and just after the stretch, dB; x and y have so many frames around it.
func levels(x, y []float32, good [][2]int, around int, moving bool) (before, after float64) {
	l := louder{x, y, good, power(y[around:len(y)-around]) * quietShare}
	of := l.between
	if moving {
		of = l.towards
	}
	before, okBefore := of(0, around)
	after, okAfter := of(len(x), len(x)-around)
	switch {
	case okBefore && !okAfter:
		after = before
	case okAfter && !okBefore:
		before = after
	}
	return before, after
}

// louder tells how much louder the camera x is than the filtered take y.
type louder struct {
	x, y []float32
	good [][2]int
	soft float64 // power under which a level tells little
}

// between compares the whole of a span, whose ends may be in either order.
func (l louder) between(from, to int) (dB float64, ok bool) {
	dB, weight := l.in(min(from, to), max(from, to))
	return weight * dB, weight > 0
}

// towards gives the level at the end of a span in which it moves: by the line
// through those of its parts that fits best.
func (l louder) towards(from, to int) (dB float64, ok bool) {
	const parts = 10
	var w, wt, wtt, wg, wtg float64
	for i := range parts {
		a, b := to+(from-to)*i/parts, to+(from-to)*(i+1)/parts
		g, weight := l.in(min(a, b), max(a, b))
		t := (float64(i) + 0.5) / parts
		w, wt, wtt, wg, wtg = w+weight, wt+weight*t, wtt+weight*t*t, wg+weight*g, wtg+weight*t*g
	}
	if det := w*wtt - wt*wt; det > 1e-3*w*w {
		return max(-mostLevel, min(mostLevel, (wg*wtt-wtg*wt)/det)), true
	}
	return l.between(from, to)
}

// in compares a span; the weight says how much that tells, 0 where it is a
// pause, or noise: the filter knows better.
func (l louder) in(from, to int) (dB, weight float64) {
	var xx, xy, yy float64
	for _, g := range l.good {
		for i := max(from, g[0]); i < min(to, g[1]); i++ {
			a, b := float64(l.x[i]), float64(l.y[i])
			xx, xy, yy = xx+a*a, xy+a*b, yy+b*b
		}
	}
	if xx == 0 || yy < 1e-9*float64(to-from) || xy < sameWave*math.Sqrt(xx*yy) {
		return 0, 0
	}
	return max(-mostLevel, min(mostLevel, 20*math.Log10(xy/yy))), yy / (yy + l.soft*float64(to-from))
}

// goodRuns are the pieces of a span in which nothing is wrong, from its begin.
func (m *mender) goodRuns(from, to int64) (runs [][2]int) {
	at := max(from, 0)
	end := min(to, m.clip.framesAt(m.clip.RateHz))
	for _, s := range m.clip.Heard.Stretches {
		if s.To <= at || s.From >= end {
			continue
		}
		if s.From > at {
			runs = append(runs, [2]int{int(at - from), int(s.From - from)})
		}
		at = s.To
	}
	if at < end {
		runs = append(runs, [2]int{int(at - from), int(end - from)})
	}
	return slices.DeleteFunc(runs, func(r [2]int) bool { return r[1]-r[0] < leastRun })
}

// clippedRuns are the pieces of a span in which the camera clipped and nothing
// else is wrong, from its begin.
func (m *mender) clippedRuns(from, to int64) (runs [][2]int) {
	for _, s := range m.clip.Heard.Stretches {
		a, b := max(s.From, from, 0), min(s.To, to)
		if a < b && slices.Equal(s.Faults, []mend.Fault{mend.Clipped}) {
			runs = append(runs, [2]int{int(a - from), int(b - from)})
		}
	}
	return runs
}

// under are the pieces of clipped runs between the tops: what is well under the
// ceiling went through whole.
func under(x []float32, clipped [][2]int) (runs [][2]int) {
	for _, r := range clipped {
		top := float32(0)
		for _, v := range x[r[0]:r[1]] {
			top = max(top, v, -v)
		}
		at := r[0]
		for i := r[0]; i <= r[1]; i++ {
			if i < r[1] && max(x[i], -x[i]) < underTop*top {
				continue
			}
			if i-at >= leastRun {
				runs = append(runs, [2]int{at, i})
			}
			at = i + 1
		}
	}
	return runs
}

func (m *mender) goodPower(x []float32, c int, good [][2]int) (sum float64) {
	for _, g := range good {
		for i := g[0]; i < g[1]; i++ {
			v := float64(x[i*m.clip.Channels+c])
			sum += v * v
		}
	}
	return sum
}

func channelOf(x []float32, c, channels int) []float32 {
	y := make([]float32, len(x)/channels)
	for i := range y {
		y[i] = x[i*channels+c]
	}
	return y
}
