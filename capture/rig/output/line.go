package output

import (
	"math"
	"sync/atomic"

	"rollready/capture/rig/session"
	"rollready/capture/ring"
	"rollready/dsp/drift"
	"rollready/dsp/resample"
)

const (
	ringSeconds = 2    // how late the device may come
	maxNeed     = 1024 // frames of the session taken at a time
	bigPiece    = 256  // frames of the device made at a time

	periodsHeld  = 2.5   // fill before reading, in periods of the device: a block then waits for two on average
	mostHeld     = 0.100 // seconds: the fill is raised up to here where the sound breaks off
	tooMuch      = 0.200 // seconds over the target: left out at once
	lookSeconds  = 1.0   // time in which the fill must once come down to the target
	edgeSeconds  = 0.005 // fade at the edges of a dropout
	soonSeconds  = 0.500 // a dropout shorter than this was our fault, not a lost input
	unitsPerPart = 1000  // of the figures published: thousandths
)

// line carries frames from a tap to the device's clock: it waits until enough
// has gathered, reads at the pace that keeps the fill level, and where the
// sound breaks off it ends and begins softly and counts.
type line struct {
	in, out     *ring.Ring // the strips; what the device is fed with
	channels    int        // of in
	pieceFrames int
	perFrame    float64 // frames of the session per frame of the device
	rateHz      float64 // of the session
	period      float64 // of the device, in frames of the session
	resampler   *resample.Resampler
	drift       *drift.Controller
	counts      *counts

	target        float64 // fill, before reading
	playing       bool
	begun         bool    // has ever played
	waited        float64 // frames of the session since the sound broke off
	least         float64 // smallest fill in the present look
	looked        float64 // frames the look has lasted
	edge          float64 // of the fade in, 0…1
	edgeStep      float64
	last          [stereo]float32
	fade          float64   // of the last frame
	before, after []float32 // scratch
	shown         struct{ fill, drift, ppm atomic.Int64 }
}

func newLine(t *session.Tap, deviceHz, period int, c *counts) *line {
	f := t.Format()
	l := &line{in: t.Input, out: t.Feed, channels: f.Channels, counts: c, rateHz: float64(f.RateHz),
		perFrame: float64(f.RateHz) / float64(deviceHz), resampler: resample.New(f.RateHz, deviceHz, stereo)}
	l.pieceFrames = max(1, min(bigPiece, int(float64(maxNeed-l.resampler.ReachFrames()-8)/l.perFrame)))
	l.period = float64(period) * l.perFrame
	l.target = periodsHeld * l.period
	l.drift = drift.New(f.RateHz, l.target)
	l.edgeStep = 1 / (edgeSeconds * float64(deviceHz))
	l.before, l.after = make([]float32, maxNeed*f.Channels), make([]float32, maxNeed*stereo)
	return l
}

// held is how many frames can be read, input and output in step.
func (l *line) held() int { return min(l.in.Len(), l.out.Len()) }

// steer looks at the fill before a block of the device, and sets the pace.
func (l *line) steer(frames int) {
	fill, elapsed := float64(l.held()), float64(frames)*l.perFrame
	if !l.playing {
		l.waited += elapsed
		if fill >= l.target {
			l.begin(int(fill - l.target))
		}
		return
	}
	l.least, l.looked = min(l.least, fill), l.looked+elapsed
	if surplus := l.surplus(fill); surplus > 0 {
		l.breakOff(surplus)
		l.begin(surplus)
	}
	l.resampler.SetPPM(l.drift.Update(float64(l.held()), int(elapsed)))
	l.publish()
}

// surplus is by how much the fill is too high for the pace to bring it down
// in good time: far over the target, or for a whole look by two periods or
// more. One is not much: where two steady clocks slip past each other, a block
// more than was read lies there from one moment to the next, and only the pace
// learns from it.
func (l *line) surplus(fill float64) int {
	over := 0.0
	if l.looked >= lookSeconds*l.rateHz {
		over = l.least - l.target
		l.look()
	}
	if fill-l.target > tooMuch*l.rateHz {
		over = fill - l.target
	}
	if over < 2*l.period {
		return 0
	}
	return int(over)
}

func (l *line) look() { l.least, l.looked = math.Inf(1), 0 }

// begin starts to play after leaving out the oldest frames.
func (l *line) begin(surplus int) {
	if l.begun && l.waited > 0 && l.waited < soonSeconds*l.rateHz {
		l.target = min(l.target+l.period/2, mostHeld*l.rateHz)
	}
	l.in.Skip(surplus)
	l.out.Skip(surplus)
	l.drift.Refill(l.target)
	l.resampler.Reset()
	l.playing, l.begun, l.edge, l.waited = true, true, 0, 0
	l.look()
}

// breakOff ends the sound; what was last heard fades out.
func (l *line) breakOff(lost int) {
	l.counts.dropouts.Add(1)
	l.counts.lost.Add(int64(lost))
	l.playing, l.fade, l.waited = false, 1, 0
}

// fill makes frames at the device's rate.
func (l *line) fill(piece []float32, st *stage) {
	made := 0
	if l.playing {
		frames := len(piece) / stereo
		need := l.resampler.Needs(frames)
		take := min(need, l.held())
		in, out := l.before[:take*l.channels], l.after[:take*stereo]
		l.in.Read(in)
		l.out.Read(out)
		made, _ = l.resampler.Process(piece, st.choose(in, out))
		l.soften(piece[:made*stereo])
		if made < frames {
			l.breakOff(need - take)
		}
	}
	l.decay(piece[made*stereo:])
}

// soften fades in after a beginning, lets what was heard before fade out
// below it, and remembers the last frame.
func (l *line) soften(made []float32) {
	for i := 0; i < len(made); i += stereo {
		if l.edge < 1 {
			l.edge = min(1, l.edge+l.edgeStep)
			for c := range stereo {
				made[i+c] *= float32(l.edge)
			}
		}
	}
	if l.fade > 0 {
		l.ring(made)
	}
	if n := len(made); n > 0 && l.fade == 0 {
		copy(l.last[:], made[n-stereo:])
	}
}

// decay fills in the last frame, fading out, then silence.
func (l *line) decay(rest []float32) {
	clear(rest)
	l.ring(rest)
}

func (l *line) ring(block []float32) {
	for i := 0; i < len(block) && l.fade > 0; i += stereo {
		l.fade = max(0, l.fade-l.edgeStep)
		for c := range stereo {
			block[i+c] += l.last[c] * float32(l.fade)
		}
	}
}

func (l *line) publish() {
	l.shown.fill.Store(int64(l.drift.Fill()))
	l.shown.drift.Store(int64(l.drift.DriftPPM() * unitsPerPart))
	l.shown.ppm.Store(int64(l.drift.PPM() * unitsPerPart))
}
