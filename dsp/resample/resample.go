// Package resample moves frames from one sample rate to another, at a ratio
// that may drift by parts per million while it runs: for output devices whose
// clock is not the input's, and for files at another rate.
//
// The method is a windowed sinc in many phases, with straight lines between
// neighbouring phases. Where the new rate is lower, the sinc is stretched so
// that nothing folds back. Output frame 0 lies on input frame 0: there is no
// delay but the ReachFrames of input that must be there first.
package resample

const maxPPM = 20000 // far past any real clock; keeps the ratio sane

// slewSeconds is how long a change of the ratio takes, in a straight line.
const slewSeconds = 0.05

// Resampler is one stream of interleaved frames. One goroutine or audio
// thread uses it.
type Resampler struct {
	channels int
	reach    int       // input frames on each side of an output frame
	rows     []float32 // phases+1 rows of 2·reach taps
	taps     []float32 // of the present output frame

	past []float32 // the last input frames, interleaved
	kept int       // frames in past
	at   int       // the frame in past at or before the next output frame
	frac float64   // and how far behind it that lies: 0 ≤ frac < 1

	base, step, want float64 // input frames per output frame: at 0 ppm, now, soon
	slew             float64 // change of step per output frame
	slewFrames       float64
}

// New makes a resampler from inHz to outHz.
func New(inHz, outHz, channels int) *Resampler { return newResampler(inHz, outHz, channels, zeros) }

// NewBrief makes a resampler of a third of the work, for sound that is measured
// and not heard: it begins to fall at two thirds of half the lower rate.
func NewBrief(inHz, outHz, channels int) *Resampler {
	return newResampler(inHz, outHz, channels, brief)
}

func newResampler(inHz, outHz, channels, zeros int) *Resampler {
	ratio := float64(outHz) / float64(inHz)
	r := &Resampler{channels: channels, base: 1 / ratio, slewFrames: slewSeconds * float64(outHz)}
	r.reach, r.rows = design(min(1, ratio), zeros)
	r.step, r.want = r.base, r.base
	r.taps = make([]float32, 2*r.reach)
	r.past = make([]float32, channels*(4*r.reach+int(4*r.base)))
	r.Reset()
	return r
}

// Reset forgets the stream. The ratio stays.
func (r *Resampler) Reset() {
	clear(r.past)
	r.kept, r.at, r.frac = r.reach-1, r.reach-1, 0
}

// Begin forgets the stream and starts anew: output frame 0 lies a part of a
// frame, 0 ≤ part < 1, behind input frame 0, and the ratio is off by so many
// parts per million from the start.
func (r *Resampler) Begin(part, ppm float64) {
	r.Reset()
	r.frac = part
	r.SetPPM(ppm)
	r.step = r.want
}

// ReachFrames is how many input frames past the place of an output frame must
// be there before it can be made. Feed as many frames of silence to get a
// file's end out.
func (r *Resampler) ReachFrames() int { return r.reach }

// SetPPM makes the input be used up faster by so many parts per million than
// the nominal rates say; slower if negative. The change is smooth.
func (r *Resampler) SetPPM(ppm float64) {
	r.want = r.base * (1 + max(-maxPPM, min(maxPPM, ppm))*1e-6)
	r.slew = (r.want - r.step) / r.slewFrames
}

// Needs gives how many input frames Process will take to make so many output
// frames. Audio thread: does not allocate.
func (r *Resampler) Needs(frames int) int {
	if frames <= 0 {
		return 0
	}
	next := *r
	for range frames - 1 {
		next.advance()
	}
	return max(0, next.at+r.reach+1-r.kept)
}

// Process fills dst with output frames as far as src allows, and takes no
// more of src than they need. It gives the frames made and the frames used.
// Audio thread: does not allocate.
func (r *Resampler) Process(dst, src []float32) (made, used int) {
	out, in := len(dst)/r.channels, len(src)/r.channels
	for made < out {
		missing := r.at + r.reach + 1 - r.kept
		if missing > 0 {
			n := min(missing, in-used)
			r.take(src[used*r.channels : (used+n)*r.channels])
			used += n
			if n < missing {
				break
			}
		}
		r.frame(dst[made*r.channels : (made+1)*r.channels])
		r.advance()
		made++
	}
	return made, used
}

// take appends input frames, first dropping what lies behind the window when
// room is short. The window and one step always fit.
func (r *Resampler) take(src []float32) {
	n := r.channels
	if len(src) > len(r.past)-r.kept*n {
		old := r.at - r.reach + 1
		old = min(old, r.kept)
		copy(r.past, r.past[old*n:r.kept*n])
		r.kept, r.at = r.kept-old, r.at-old
	}
	copy(r.past[r.kept*n:], src)
	r.kept += len(src) / n
}

func (r *Resampler) advance() {
	if r.step != r.want {
		left := r.want - r.step
		if left*left <= r.slew*r.slew {
			r.step = r.want
		} else {
			r.step += r.slew
		}
	}
	r.frac += r.step
	whole := int(r.frac)
	r.at += whole
	r.frac -= float64(whole)
}

// frame computes one output frame.
func (r *Resampler) frame(dst []float32) {
	width := 2 * r.reach
	place := r.frac * phases
	p := int(place)
	f := float32(place - float64(p))
	low, high := r.rows[p*width:(p+1)*width], r.rows[(p+1)*width:(p+2)*width]
	taps := r.taps[:width]
	for k := range taps {
		taps[k] = low[k] + f*(high[k]-low[k])
	}
	from := (r.at - r.reach + 1) * r.channels
	x := r.past[from : from+width*r.channels]
	if r.channels == 2 {
		dst[0], dst[1] = dot2(taps, x)
		return
	}
	for c := range dst {
		dst[c] = dot(taps, x[c:], r.channels)
	}
}

func dot(taps, x []float32, stride int) float32 {
	var sum float32
	for k, h := range taps {
		sum += h * x[k*stride]
	}
	return sum
}

func dot2(taps, x []float32) (left, right float32) {
	x = x[:2*len(taps)]
	for k, h := range taps {
		left += h * x[2*k]
		right += h * x[2*k+1]
	}
	return left, right
}
