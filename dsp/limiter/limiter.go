// Package limiter holds the true peak of the output under a ceiling, by
// looking ahead: the gain is down before the peak arrives and no waveform is
// ever cut. All channels share one gain, so the image stands still, unless
// they are set apart: then each has its own.
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
	delay     int // frames
	channels  []channel
	beside    [][]float32    // as channel.line, of the block that goes beside
	wet       [chunk]float32 // share of the limited signal in the output
	ceiling   float64        // amplitude above which is limited
	ceilingDB float64
	apart     bool
	on        bool
	started   bool
	fill      int     // frames of the delay line that are still missing
	mix       float64 // how far the fade has gone: 0 off, 1 on
	mixStep   float64

	latency   atomic.Int64
	reduction atomic.Uint64 // bits of the float64
}

// channel is what the limiter keeps of one channel.
type channel struct {
	line  []float32      // the last delay frames, then the chunk
	peaks [chunk]float64 // of the chunk
	gains [chunk]int64   // what gain made of them
	gain  gain
}

// New makes a limiter for interleaved blocks of so many channels, off.
func New(rateHz, channels int) *Limiter { return NewBeside(rateHz, channels, channels) }

// NewBeside makes a limiter whose block that goes beside has another number of
// channels.
func NewBeside(rateHz, channels, beside int) *Limiter {
	smooth := max(4, (int(lookAheadSeconds*float64(rateHz))-flat-ahead)/2)
	l := &Limiter{channels: make([]channel, channels), ceilingDB: math.NaN(), ceiling: 1, mixStep: 1 / (fadeSeconds * float64(rateHz))}
	l.delay = flat + ahead + 2*smooth - 2
	for c := range l.channels {
		l.channels[c].line, l.channels[c].gain = make([]float32, l.delay+chunk), newGain(rateHz, l.delay, smooth)
	}
	for range beside {
		l.beside = append(l.beside, make([]float32, l.delay+chunk))
	}
	return l
}

// SetApart gives each channel its own gain, or all the same one again. The
// gains glide from the one to the other. Audio thread: does not allocate.
func (l *Limiter) SetApart(apart bool) { l.apart = apart }

// SetCeiling sets the true-peak ceiling in dBTP and switches the limiter. A
// changed ceiling is reached within the look-ahead, smoothly. Audio thread:
// does not allocate.
func (l *Limiter) SetCeiling(dBTP float64, on bool) {
	if dBTP != l.ceilingDB {
		l.ceilingDB, l.ceiling = dBTP, db.ToAmplitude(dBTP)
		for c := range l.channels {
			l.channels[c].gain.target = db.ToAmplitude(dBTP - marginDB)
		}
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
	for c := range l.channels {
		clear(l.channels[c].line)
		l.channels[c].gain.reset()
	}
	for _, x := range l.beside {
		clear(x)
	}
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

// Idle tells that the limiter is off and has faded out: blocks pass untouched.
func (l *Limiter) Idle() bool { return !l.on && l.mix == 0 }

// Process limits interleaved frames in place. Values that are not finite
// become silence. Audio thread: does not allocate, lock or block.
func (l *Limiter) Process(block []float32) { l.ProcessBeside(block, nil) }

// ProcessBeside limits a block and delays another of the same length with it,
// not limited, through every switch alike: what sounded together stays
// together. Audio thread: does not allocate, lock or block.
func (l *Limiter) ProcessBeside(block, beside []float32) {
	l.started = l.started || len(block) > 0
	least := int64(unity)
	for n := len(l.channels); len(block) >= n && (l.on || l.mix > 0); {
		frames := min(chunk, len(block)/n)
		least = min(least, l.chunk(block[:frames*n], beside, frames))
		block = block[frames*n:]
		beside = beside[min(len(beside), frames*len(l.beside)):]
	}
	l.reduction.Store(math.Float64bits(-db.FromAmplitude(float64(least) / unity)))
}

// chunk works on up to chunk frames and gives the least gain among them.
func (l *Limiter) chunk(block, beside []float32, frames int) int64 {
	n := len(l.channels)
	for c := range l.channels {
		k := &l.channels[c]
		clear(k.peaks[:frames])
		fill(k.line[l.delay:l.delay+frames], block[c:], n)
		detect(k.peaks[:frames], k.line[l.delay-window+1:l.delay+frames], l.ceiling)
	}
	if !l.apart {
		l.share(frames)
	}
	least, faded := int64(unity), l.fade(frames)
	for c := range l.channels {
		k := &l.channels[c]
		own := k.gain.run(k.gains[:frames], k.peaks[:frames], l.ceiling)
		least = min(least, own)
		l.out(block[c:], k.line, frames, n, lowered(k.gains[:frames], own), faded)
		copy(k.line[:l.delay], k.line[frames:frames+l.delay])
	}
	if len(beside) > 0 {
		l.passBeside(beside, frames, faded)
	}
	return least
}

// share gives every channel the peaks of all.
func (l *Limiter) share(frames int) {
	first := l.channels[0].peaks[:frames]
	for c := 1; c < len(l.channels); c++ {
		for i, p := range l.channels[c].peaks[:frames] {
			first[i] = max(first[i], p)
		}
	}
	for c := 1; c < len(l.channels); c++ {
		copy(l.channels[c].peaks[:], first)
	}
}

// lowered gives the gains of a chunk, nil where all are full.
func lowered(gains []int64, least int64) []int64 {
	if least == unity {
		return nil
	}
	return gains
}

// passBeside delays the block that goes beside, as out does at full gain.
func (l *Limiter) passBeside(block []float32, frames int, faded bool) {
	for c, x := range l.beside {
		fill(x[l.delay:l.delay+frames], block[c:], len(l.beside))
		l.out(block[c:], x, frames, len(l.beside), nil, faded)
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

// out writes one channel's delayed samples, at their gains if there are any,
// into every stride-th place of the block.
func (l *Limiter) out(block, x []float32, frames, stride int, gains []int64, faded bool) {
	for i := range frames {
		y := x[i]
		if gains != nil {
			y = float32(float64(y) * float64(gains[i]) * (1.0 / unity))
		}
		if faded {
			dry := block[i*stride]
			y = dry + (y-dry)*l.wet[i]
		}
		block[i*stride] = y
	}
}
