package strips

import "rollready/dsp/db"

// glideSeconds is the time a change of a send, of polarity or of mute takes.
const glideSeconds = 0.01

// glide is a factor on its way. It moves along 3t²−2t³, through zero where the
// polarity turns.
type glide struct {
	from, to   float64
	at, frames int // at == frames: arrived
}

func (s sends) factors() (f [2]float64) {
	for side, send := range s {
		switch {
		case !send.on:
		case send.dB == 0:
			f[side] = 1
		default:
			f[side] = db.ToAmplitude(send.dB)
		}
	}
	return f
}

func (g *glide) aim(to float64, rateHz int, atOnce bool) {
	switch {
	case atOnce:
		*g = glide{from: to, to: to}
	case to != g.to:
		*g = glide{from: g.now(), to: to, frames: int(glideSeconds * float64(rateHz))}
	}
}

func (g *glide) now() float64 {
	if g.at == g.frames {
		return g.to
	}
	t := float64(g.at) / float64(g.frames)
	return g.from + (g.to-g.from)*t*t*(3-2*t)
}

// next is the factor of the next frame.
func (g *glide) next() float64 {
	if g.at < g.frames {
		g.at++
	}
	return g.now()
}

func (g *glide) silent() bool { return g.at == g.frames && g.to == 0 }

// whole tells that it leaves frames as they are.
func (g *glide) whole() bool { return g.at == g.frames && g.to == 1 }

// apply turns frames up or down in place; at full it leaves them alone.
func (g *glide) apply(mono []float32) {
	if g.whole() {
		return
	}
	for i, x := range mono {
		mono[i] = float32(g.next() * float64(x))
	}
}
