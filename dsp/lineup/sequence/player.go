package sequence

// Player writes the sequence out as frames.
type Player struct {
	rate     float64
	channels int
	sections []Section
	at       int // section of the next frame
	frame    int64
	frames   int64
}

// NewPlayer begins the sequence for so many channels: 1 carries the mean of
// both sides, from 2 on the first two are left and right and the rest silent.
func NewPlayer(rateHz, channels int) *Player {
	return &Player{rate: float64(rateHz), channels: channels, sections: Sections(),
		frames: int64(Seconds()*float64(rateHz) + 0.5)}
}

// Position tells how many frames were read and which section comes next.
func (p *Player) Position() (frame int64, kind Kind) { return p.frame, p.sections[p.at].Kind }

// Read fills the block with the next interleaved frames and tells how many;
// what is left of the block is silence. 0 means the end. Does not allocate.
func (p *Player) Read(block []float32) (frames int) {
	clear(block)
	for frames < len(block)/p.channels && p.frame < p.frames {
		left, right := p.next()
		out := block[frames*p.channels : (frames+1)*p.channels]
		if p.channels == 1 {
			out[0] = float32((left + right) / 2)
		} else {
			out[0], out[1] = float32(left), float32(right)
		}
		frames++
	}
	return frames
}

func (p *Player) next() (left, right float64) {
	t := float64(p.frame) / p.rate
	p.frame++
	for p.at+1 < len(p.sections) && t >= p.sections[p.at].End() {
		p.at++
	}
	s := p.sections[p.at]
	return s.At(t - s.Start)
}
