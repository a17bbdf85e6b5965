// Package limiter holds the true peak of the output under a ceiling, by
// looking ahead: the gain is down before the peak arrives and no waveform is
// ever cut. All channels share one gain, so the image stands still.
//
// Below the ceiling the samples pass unchanged but for the delay. A peak above
// it is brought to a little under the ceiling (see marginDB), since the peak
// between samples is known only as well as a finite filter can tell.
//
// The delay is constant while the limiter is on and zero while it is off.
// Switching fades from the one to the other over fadeSeconds once the delay
// line is full, so there is neither a click nor a gap; for that moment the
// undelayed part is not limited. A limiter switched on before its first frame
// is on from that frame.
package limiter

import (
	"math"
	"sync/atomic"

	"rollready/dsp/db"
)

const (
	lookAheadSeconds = 0.002
	fadeSeconds      = 0.020
	marginDB         = 0.15
	chunk            = 128 // frames worked on at a time
)

// Limiter is the chain's last stage. Process and SetCeiling belong to one
// goroutine or the audio thread; the accessors may be called from any.
type Limiter struct {
	channels  int
	delay     int            // frames
	line      [][]float32    // per channel: the last delay frames, then the chunk
	beside    [][]float32    // the same of the block that goes beside
	peaks     [chunk]float64 // of the chunk, all channels together
	gains     [chunk]int64   // what gain made of them
	wet       [chunk]float32 // share of the limited signal in the output
	ceiling   float64        // amplitude above which is limited
	ceilingDB float64
	gain      gain
	on        bool
	started   bool
	fill      int     // frames of the delay line that are still missing
	mix       float64 // how far the fade has gone: 0 off, 1 on
	mixStep   float64

	latency   atomic.Int64
	reduction atomic.Uint64 // bits of the float64
}

// New makes a limiter for interleaved blocks of so many channels, off.
func New(rateHz, channels int) *Limiter {
	smooth := max(4, (int(lookAheadSeconds*float64(rateHz))-flat-ahead)/2)
	l := &Limiter{channels: channels, ceilingDB: math.NaN(), ceiling: 1, mixStep: 1 / (fadeSeconds * float64(rateHz))}
	l.delay = flat + ahead + 2*smooth - 2
	l.gain = newGain(rateHz, l.delay, smooth)
	for range channels {
		l.line = append(l.line, make([]float32, l.delay+chunk))
		l.beside = append(l.beside, make([]float32, l.delay+chunk))
	}
	return l
}

// SetCeiling sets the true-peak ceiling in dBTP and switches the limiter. A
// changed ceiling is reached within the look-ahead, smoothly. Audio thread:
// does not allocate.
func (l *Limiter) SetCeiling(dBTP float64, on bool) {
	if dBTP != l.ceilingDB {
		l.ceilingDB, l.ceiling = dBTP, db.ToAmplitude(dBTP)
		l.gain.target = db.ToAmplitude(dBTP - marginDB)
	}
	if on == l.on {
		return
	}
	l.on = on
	l.latency.Store(0)
	if on {
		l.latency.Store(int64(l.delay))
	}
	if on && l.mix == 0 {
		l.prime()
	}
}

// prime makes ready for the first frame after silence or after being off.
func (l *Limiter) prime() {
	for c := range l.line {
		clear(l.line[c])
		clear(l.beside[c])
	}
	l.gain.reset()
	l.fill = l.delay
	if !l.started {
		l.fill, l.mix = 0, 1
	}
}

// LookAheadFrames is the delay a limiter has while it is on.
func (l *Limiter) LookAheadFrames() int { return l.delay }

// LatencyFrames is the delay in frames while the limiter is on, else 0.
func (l *Limiter) LatencyFrames() int { return int(l.latency.Load()) }

// ReductionDB is by how many dB the gain was down at most during the last
// block: 0 or more.
func (l *Limiter) ReductionDB() float64 { return math.Float64frombits(l.reduction.Load()) }

// Process limits interleaved frames in place. Values that are not finite
// become silence. Audio thread: does not allocate, lock or block.
func (l *Limiter) Process(block []float32) { l.ProcessBeside(block, nil) }

// ProcessBeside limits a block and delays another of the same length with it,
// not limited, through every switch alike: what sounded together stays
// together. Audio thread: does not allocate, lock or block.
func (l *Limiter) ProcessBeside(block, beside []float32) {
	l.started = l.started || len(block) > 0
	least := int64(unity)
	for len(block) >= l.channels && (l.on || l.mix > 0) {
		frames := min(chunk, len(block)/l.channels)
		least = min(least, l.chunk(block[:frames*l.channels], beside, frames))
		block = block[frames*l.channels:]
		beside = beside[min(len(beside), frames*l.channels):]
	}
	l.reduction.Store(math.Float64bits(-db.FromAmplitude(float64(least) / unity)))
}

// chunk works on up to chunk frames and gives the least gain among them.
func (l *Limiter) chunk(block, beside []float32, frames int) int64 {
	clear(l.peaks[:frames])
	for c, x := range l.line {
		fill(x[l.delay:l.delay+frames], block[c:], l.channels)
		detect(l.peaks[:frames], x[l.delay-window+1:l.delay+frames], l.ceiling)
	}
	least := l.gain.run(l.gains[:frames], l.peaks[:frames], l.ceiling)
	faded := l.fade(frames)
	for c, x := range l.line {
		l.out(block[c:], x, frames, least, faded)
		copy(x[:l.delay], x[frames:frames+l.delay])
	}
	if len(beside) > 0 {
		l.passBeside(beside, frames, faded)
	}
	return least
}

// passBeside delays the block that goes beside, as out does at full gain.
func (l *Limiter) passBeside(block []float32, frames int, faded bool) {
	for c, x := range l.beside {
		fill(x[l.delay:l.delay+frames], block[c:], l.channels)
		l.out(block[c:], x, frames, unity, faded)
		copy(x[:l.delay], x[frames:frames+l.delay])
	}
}

// fill copies one channel out of interleaved frames.
func fill(dst, block []float32, stride int) {
	for i := range dst {
		v := block[i*stride]
		if v-v != 0 { // NaN or Inf
			v = 0
		}
		dst[i] = v
	}
}

// fade moves on the fade by so many frames and tells whether there is any.
func (l *Limiter) fade(frames int) bool {
	if l.on && l.mix == 1 && l.fill == 0 {
		return false
	}
	for i := range frames {
		switch {
		case !l.on:
			l.mix = max(0, l.mix-l.mixStep)
		case l.fill > 0:
			l.fill--
		default:
			l.mix = min(1, l.mix+l.mixStep)
		}
		l.wet[i] = float32(0.5 - 0.5*math.Cos(math.Pi*l.mix))
	}
	return true
}

// out writes one channel's delayed samples, at their gain, into the block.
func (l *Limiter) out(block, x []float32, frames int, least int64, faded bool) {
	n := l.channels
	for i := range frames {
		y := x[i]
		if least < unity {
			y = float32(float64(y) * float64(l.gains[i]) * (1.0 / unity))
		}
		if faded {
			dry := block[i*n]
			y = dry + (y-dry)*l.wet[i]
		}
		block[i*n] = y
	}
}
