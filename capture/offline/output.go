package offline

import (
	"math/rand/v2"

	"rollready/capture/wavfile"
)

// output lays the lanes side by side and writes them.
type output struct {
	to       *wavfile.Writer
	widths   []int // channels of each lane
	channels int
	frames   []float32
	dither   *rand.PCG // nil: none
}

func (p *Process) newOutput(w *wavfile.Writer) *output {
	o := &output{to: w, channels: p.channels, frames: make([]float32, processFrames*p.channels)}
	for _, l := range p.lanes {
		o.widths = append(o.widths, l.width)
	}
	if p.shortened(w) {
		o.dither = rand.NewPCG(1, 2) // the same file gives the same result
	}
	return o
}

func (o *output) write(b *block, result *Result) error {
	frames := b.frames[0]
	if len(b.frames) > 1 {
		frames = o.join(b.frames)
	}
	result.Frames += int64(len(frames) / o.channels)
	result.Sanitised += b.sanitised
	result.Overs += overs(frames)
	if o.dither != nil {
		addDither(frames, o.dither)
	}
	return o.to.Write(frames)
}

func (o *output) join(parts [][]float32) []float32 {
	n := len(parts[0]) / o.widths[0]
	at := 0
	for lane, part := range parts {
		width := o.widths[lane]
		for i := range n {
			copy(o.frames[i*o.channels+at:], part[i*width:(i+1)*width])
		}
		at += width
	}
	return o.frames[:n*o.channels]
}

// addDither adds noise of triangular density, reaching one step of 16 bits to
// each side of zero: then what rounding adds neither follows the
// sound nor breathes with it (Lipshitz, Wannamaker and Vanderkooy,
// "Quantization and Dither", J. Audio Eng. Soc. 40, 1992).
func addDither(frames []float32, random *rand.PCG) {
	const step = 1.0 / (1 << 15)
	for i, x := range frames {
		r := random.Uint64()
		frames[i] = x + step/(1<<32)*float32(int64(r>>32)-int64(uint32(r)))
	}
}
