package lineup

import (
	"math"

	"rollready/dsp/db"
	"rollready/dsp/lineup/sequence"
)

// trace is the recorded gain in dB along a stretch of steady tone.
type trace struct {
	gainDB []float64
	hop    float64 // seconds from value to value
	first  float64 // second of the stretch at the middle of the first value
}

// trace follows the gain in windows of so many seconds, from head seconds
// into the section.
func (r *recording) trace(channel int, s sequence.Section, window, head float64) trace {
	var p probe
	t := trace{hop: window, first: head + window/2}
	for at := head; at+window <= s.Seconds-0.01; at += window {
		level := p.level(r.cut(channel, s.Start+at, s.Start+at+window), sequence.ToneHz/r.perSec)
		t.gainDB = append(t.gainDB, db.FromAmplitude(max(level, 1e-7))-s.LevelDBFS)
	}
	return t
}

// mean of the values between two seconds of the stretch.
func (t trace) mean(from, to float64) float64 {
	sum, n := 0.0, 0.0
	for i, g := range t.gainDB {
		if at := t.first + float64(i)*t.hop; at >= from && at <= to {
			sum += g
			n++
		}
	}
	return sum / n
}

// jitter is the standard deviation of one value that noise brings, from the
// differences of neighbours in the settled half.
func (t trace) jitter() float64 {
	half := t.gainDB[len(t.gainDB)/2:]
	sum := 0.0
	for i := 1; i < len(half); i++ {
		d := half[i] - half[i-1]
		sum += d * d
	}
	return math.Sqrt(sum / 2 / float64(len(half)-1))
}

const (
	shortWindow = 0.01 // seconds, for time constants
	longWindow  = 0.05 // seconds, for the decision
	settleHead  = 0.015
	limiterDBFS = -9.0   // on the camera's scale: held back only above this it is a limiter
	limiterMS   = 1500.0 // and only if it lets go within this time
)

// gains is what the gain did around the burst, in dB.
type gains struct {
	onset, settled float64 // steady tone before the burst
	early, late    float64 // after the burst
	rung           float64 // the same level in the ladder
	jitter         float64 // of a value over 0.1 s
}

func (r *recording) gains(channel int, rungs []rung) gains {
	before := r.trace(channel, sequence.Find(sequence.Before), longWindow, settleHead)
	after := r.trace(channel, sequence.Find(sequence.After), longWindow, settleHead)
	g := gains{
		onset: before.mean(0, 0.12), settled: before.mean(3, 4),
		early: after.mean(0, 0.12), late: after.mean(5, 6),
		jitter: max(before.jitter(), after.jitter()) / math.Sqrt2,
	}
	for _, s := range rungs {
		if s.outDBFS == sequence.AlignDBFS {
			g.rung = s.gainDB
		}
	}
	return g
}

// movement is a change too great to be noise, in dB.
func (g gains) movement() float64 { return max(0.3, 6*g.jitter) }

// drifts tells that the gain of one and the same level was not the same at
// different times, the moment after the burst apart.
func (g gains) drifts() bool {
	return math.Abs(g.onset-g.settled) > g.movement() || math.Abs(g.late-g.settled) > g.movement() ||
		math.Abs(g.rung-g.settled) > g.movement()
}

// ducked tells that the burst left the gain lower.
func (g gains) ducked() bool { return g.settled-g.early > g.movement() }

// automatic tells automatic level and limiter from each other and from a
// gain that stands still. held is the output level from which the gain is held
// back without distortion, missing if it isn't.
func (r *recording) automatic(channel int, rungs []rung, gainDB float64, held Figure) (auto, limiter Automatic) {
	g := r.gains(channel, rungs)
	off := Automatic{AttackMS: none, ReleaseMS: none}
	if !g.drifts() && !g.ducked() && !held.Known() {
		return off, off
	}
	moving := Automatic{On: true, AttackMS: r.attack(channel), ReleaseMS: r.release(channel, g)}
	lasting := moving.ReleaseMS.Known() && moving.ReleaseMS > limiterMS
	if g.drifts() || lasting || !held.Known() || float64(held)+gainDB < limiterDBFS {
		return moving, off
	}
	return off, moving
}

// attack is the time to 63 % of the gain's fall in the burst.
func (r *recording) attack(channel int) Figure {
	t := r.trace(channel, sequence.Find(sequence.Burst), shortWindow, 0)
	before := r.trace(channel, sequence.Find(sequence.Before), longWindow, settleHead).mean(3, 4)
	end := t.mean(1.3, 1.5)
	return passes(t, before, end)
}

// release is the time to 63 % of the gain's rise after the burst; where it is
// still rising at the end, towards the gain before the burst.
func (r *recording) release(channel int, g gains) Figure {
	t := r.trace(channel, sequence.Find(sequence.After), shortWindow, settleHead)
	low := t.mean(0, 0.045)
	if seen := passes(t, low, g.settled); seen.Known() {
		return seen
	}
	if left := g.settled - g.late; left > 0.05 && left < g.settled-low {
		return Figure(1000 * 5.5 / math.Log((g.settled-low)/left))
	}
	return none
}

// passes gives the milliseconds until the trace has gone 63 % of the way;
// missing when the way is under 0.3 dB or it never gets there.
func passes(t trace, from, to float64) Figure {
	if math.Abs(to-from) < 0.3 {
		return none
	}
	for i, g := range t.gainDB {
		if (g-from)/(to-from) >= 1-1/math.E {
			return Figure(1000 * (t.first + float64(i)*t.hop))
		}
	}
	return none
}
