package output

import (
	"math"
	"sync/atomic"

	"rollready/capture"
	"rollready/dsp/db"
)

// The level of the headphones: nothing louder than the source itself, and at
// the start low.
const (
	MinLevelDB   = -60.0
	StartLevelDB = -30.0

	fadeInSeconds = 1.0
	muteSeconds   = 0.02
	levelSeconds  = 0.03 // time constant of a change of level
)

// level is what a person sets. Any goroutine.
type level struct {
	muted     atomic.Bool
	paused    atomic.Bool   // by the line-up, whatever muted says
	decibels  atomic.Uint64 // bits
	amplitude atomic.Uint64 // bits
}

func (l *level) set(levelDB float64) {
	if math.IsNaN(levelDB) {
		return
	}
	levelDB = max(MinLevelDB, min(0, levelDB))
	l.decibels.Store(math.Float64bits(levelDB))
	l.amplitude.Store(math.Float64bits(db.ToAmplitude(levelDB)))
}

func (l *level) dB() float64  { return math.Float64frombits(l.decibels.Load()) }
func (l *level) amp() float64 { return math.Float64frombits(l.amplitude.Load()) }

// volume follows a level: a slow fade in, a quick one out, no step between.
// One audio thread uses it.
type volume struct{ fade, now float64 }

func (v *volume) init(l *level, sounding bool) {
	v.now = l.amp()
	if sounding {
		v.fade = 1
	}
}

// apply runs frames of the device. The fade goes in as its square, which the
// ear takes for more even.
func (v *volume) apply(l *level, block []float32, f capture.Format) {
	rate, target, muted := float64(f.RateHz), l.amp(), l.muted.Load() || l.paused.Load()
	up, down := 1/(fadeInSeconds*rate), 1/(muteSeconds*rate)
	speed := 1 - math.Exp(-1/(levelSeconds*rate))
	for i := 0; i+f.Channels <= len(block); i += f.Channels {
		if muted {
			v.fade = max(0, v.fade-down)
		} else {
			v.fade = min(1, v.fade+up)
		}
		if v.now += speed * (target - v.now); math.Abs(v.now-target) < 1e-7 {
			v.now = target
		}
		gain := float32(v.fade * v.fade * v.now)
		for c := i; c < i+f.Channels; c++ {
			block[c] *= gain
		}
	}
}
