package chain

import "rollready/dsp/db"

// rampSeconds is the time a change of gain takes.
const rampSeconds = 0.01

// ramp is a gain on its way. It moves in dB along 3t²−2t³, so the widest
// change, 100 dB, stays under 0.35 dB per frame at 44.1 kHz.
type ramp struct {
	fromDB, toDB float64
	at, frames   int     // at == frames: arrived
	amplitude    float64 // of toDB
}

func (r *ramp) jump(gainDB float64) {
	*r = ramp{fromDB: gainDB, toDB: gainDB, amplitude: db.ToAmplitude(gainDB)}
}

// aim starts a ramp from the present gain unless it is already aimed there.
func (r *ramp) aim(gainDB float64, rateHz int) {
	if gainDB == r.toDB {
		return
	}
	*r = ramp{fromDB: r.gainDB(), toDB: gainDB, frames: int(rampSeconds * float64(rateHz)), amplitude: db.ToAmplitude(gainDB)}
}

func (r *ramp) gainDB() float64 {
	if r.at == r.frames {
		return r.toDB
	}
	t := float64(r.at) / float64(r.frames)
	return r.fromDB + (r.toDB-r.fromDB)*t*t*(3-2*t)
}

// next is the factor of the next frame.
func (r *ramp) next() float64 {
	if r.at == r.frames {
		return r.amplitude
	}
	r.at++
	return db.ToAmplitude(r.gainDB())
}

// apply puts src times the gain into dst; what is not finite becomes silence.
func (r *ramp) apply(dst []float64, src []float32, channels int) {
	factor := r.amplitude
	if r.at >= r.frames {
		scale(dst, src, factor)
		return
	}
	for i, x := range src {
		if r.at < r.frames && i%channels == 0 {
			factor = r.next()
		}
		if x-x != 0 { // NaN or ±Inf
			x = 0
		}
		dst[i] = float64(x) * factor
	}
}

// scale is apply while the gain stands.
func scale(dst []float64, src []float32, factor float64) {
	dst = dst[:len(src)]
	for i, x := range src {
		if x-x != 0 {
			x = 0
		}
		dst[i] = float64(x) * factor
	}
}
