// Package tone makes the line-up tone: a steady sine at a known level, with an
// ident that tells left from right.
package tone

import (
	"errors"
	"fmt"
	"math"
	"sync/atomic"

	"rollready/dsp/db"
)

// Settings is everything about the tone that can be set. A plain value.
type Settings struct {
	Hz        float64
	LevelDBFS float64 // AES17; −Inf is silence
	Ident     bool    // the left side is interrupted for 0.25 s every 3 s
}

// Limits of the settings.
const (
	MinHz     = 20.0
	MaxHz     = 20000.0
	MinDBFS   = -80.0
	MaxDBFS   = -1.0
	rampTime  = 0.010 // seconds a change of level takes to settle
	identTime = 0.25  // the pattern is the stereo ident of broadcast practice: from memory
	identRest = 3.0
)

// Default is 1 kHz at −20 dBFS (SMPTE RP 155) without ident.
var Default = Settings{Hz: 1000, LevelDBFS: -20}

// Check tells what is wrong with the settings, in words for the user.
func (s Settings) Check() error {
	var hz, level error
	if !(s.Hz >= MinHz && s.Hz <= MaxHz) {
		hz = fmt.Errorf("tone of %g Hz: choose %g to %g Hz", s.Hz, MinHz, MaxHz)
	}
	if !(s.LevelDBFS >= MinDBFS && s.LevelDBFS <= MaxDBFS) {
		level = fmt.Errorf("tone at %g dBFS: choose %g to %g dBFS", s.LevelDBFS, MinDBFS, MaxDBFS)
	}
	return errors.Join(hz, level)
}

// Generator makes the tone. One goroutine or audio thread calls Process; any
// goroutine may call Set.
type Generator struct {
	rate     float64
	channels int
	wanted   atomic.Pointer[Settings]
	phase    float64    // turns
	gain     [2]float64 // present amplitude of left and right
	ramp     float64    // part of the way to the wanted amplitude gone per frame
	frame    int64
}

// New makes a generator for so many channels that is silent until Set: the
// first two are left and right, the rest stay silent.
func New(rateHz, channels int) *Generator {
	g := &Generator{rate: float64(rateHz), channels: channels}
	g.ramp = 1 - math.Exp(-5/(rampTime*g.rate))
	g.Set(Settings{Hz: Default.Hz, LevelDBFS: math.Inf(-1)})
	return g
}

// Set changes the tone; level and ident are ramped over 10 ms, the frequency
// changes without a jump in phase. Settings that fail Check are the caller's
// mistake, but for silence.
func (g *Generator) Set(s Settings) { g.wanted.Store(&s) }

// Process overwrites the block with interleaved frames. Audio thread: does
// not allocate, lock or block.
func (g *Generator) Process(block []float32) {
	s := g.wanted.Load()
	amplitude, step := db.ToAmplitude(s.LevelDBFS), s.Hz/g.rate
	clear(block)
	for i := 0; i+g.channels <= len(block); i += g.channels {
		x := math.Sin(2 * math.Pi * g.phase)
		g.phase += step
		g.phase -= math.Floor(g.phase)
		for side := range min(2, g.channels) {
			g.gain[side] += g.ramp * (g.wantedGain(side, amplitude, s.Ident) - g.gain[side])
			block[i+side] = float32(g.gain[side] * x)
		}
		g.frame++
	}
}

func (g *Generator) wantedGain(side int, amplitude float64, ident bool) float64 {
	if ident && side == 0 && g.channels > 1 && g.frame%int64(identRest*g.rate) < int64(identTime*g.rate) {
		return 0
	}
	return amplitude
}
