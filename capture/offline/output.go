package offline

import (
	"rollready/capture/wavfile"
)

// output lays the lanes side by side and writes them.
type output struct {
	to       *wavfile.Writer
	widths   []int // channels of each lane
	channels int
	frames   []float32
	dither   *dither // nil: none
}

func (p *Process) newOutput(w *wavfile.Writer) *output {
	o := &output{to: w, channels: p.channels, frames: make([]float32, processFrames*p.channels)}
	for _, l := range p.lanes {
		o.widths = append(o.widths, l.width)
	}
	if p.shortened(w) {
		o.dither = new(dither)
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
		o.dither.add(frames)
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

// dither is noise of triangular density, reaching one step of 16 bits to each
// side of zero: then what rounding adds neither follows the sound nor breathes
// with it (Lipshitz, Wannamaker and Vanderkooy, "Quantization and Dither", J.
// Audio Eng. Soc. 40, 1992). Each half of a random number, of SplitMix64
// (Steele, Lea and Flood, OOPSLA 2014; from memory), is two even ones, which
// are subtracted. The zero dither is ready; the same file gives the same result.
type dither uint64

func (d *dither) add(frames []float32) {
	const step = 1.0 / (1 << 15) / (1 << 16)
	state := uint64(*d)
	for len(frames) > 0 {
		state += 0x9e3779b97f4a7c15
		r := (state ^ state>>30) * 0xbf58476d1ce4e5b9
		r = (r ^ r>>27) * 0x94d049bb133111eb
		r ^= r >> 31
		frames[0] += step * float32(int32(r&0xffff)-int32(r>>16&0xffff))
		if len(frames) > 1 {
			frames[1] += step * float32(int32(r>>32&0xffff)-int32(r>>48))
		}
		frames = frames[min(2, len(frames)):]
	}
	*d = dither(state)
}
