// Package gap finds holes in the sound: frames that were lost and became
// zeros.
package gap

const (
	leastSeconds = 0.001
	loud         = 0.002 // −54 dBFS: quieter sound may well end in zeros
	lookBack     = 32    // frames
	smooth       = 0.1   // of the peak just before: sound that ends lower runs out by itself
)

// Meter counts holes: at least a millisecond of zeros in all channels that
// begins amid sound, in the middle of a wave, and ends again. Fades to silence
// are no holes, and where sound often runs out into zeros by itself they are
// the source's own silence and nothing is a hole. Not safe for concurrent use.
type Meter struct {
	channels, least int
	recent          [lookBack]float32 // peaks of the last frames, a ring
	at              int
	zeros           int
	begins          edge
	last            float32 // peak of the last frame
	cut, ranOut     int64
}

// New makes a meter for interleaved blocks of so many channels.
func New(rateHz, channels int) *Meter {
	return &Meter{channels: channels, least: max(2, int(leastSeconds*float64(rateHz)))}
}

// Process takes interleaved frames. It does not allocate.
func (m *Meter) Process(block []float32) {
	n := m.channels
	for len(block) >= n {
		if m.zeros == 0 {
			block = m.skip(block)
		}
		if len(block) >= n {
			m.frame(peak(block[:n]))
			block = block[n:]
		}
	}
}

// skip passes over the sound up to the next frame of zeros. Only the last
// frames of it can matter.
func (m *Meter) skip(block []float32) []float32 {
	end := sound(block, m.channels)
	for at := max(0, end-lookBack*m.channels); at < end; at += m.channels {
		m.frame(peak(block[at : at+m.channels]))
	}
	return block[end:]
}

// sound gives how many samples of whole frames come before the first frame
// of zeros.
func sound(block []float32, channels int) int {
	at := 0
	if channels == 2 {
		for at+1 < len(block) && (block[at] != 0 || block[at+1] != 0) {
			at += 2
		}
		return at
	}
	for at+channels <= len(block) && peak(block[at:at+channels]) != 0 {
		at += channels
	}
	return at
}

// peak is the greatest magnitude of a frame.
func peak(frame []float32) float32 {
	top := float32(0)
	for _, x := range frame {
		top = max(top, x, -x)
	}
	return top
}

func (m *Meter) frame(peak float32) {
	switch {
	case peak == 0 && m.zeros == 0:
		m.begins = m.before()
		m.zeros = 1
	case peak == 0:
		m.zeros++
	default:
		if m.zeros >= m.least {
			m.count()
		}
		m.zeros, m.last = 0, peak
		m.recent[m.at] = peak
		m.at = (m.at + 1) % lookBack
	}
}

// edge is how a run of zeros begins.
type edge int

const (
	soft   edge = iota // after next to nothing
	runOut             // after sound that had come down to zero
	cut                // in the middle of a wave
)

func (m *Meter) before() edge {
	peak := float32(0)
	for _, p := range m.recent {
		peak = max(peak, p)
	}
	switch {
	case peak <= loud:
		return soft
	case m.last < smooth*peak:
		return runOut
	default:
		return cut
	}
}

func (m *Meter) count() {
	switch m.begins {
	case cut:
		m.cut++
	case runOut:
		m.ranOut++
	}
}

// Count gives the holes so far. One cut in ten looks as if the sound had run
// out; far more do where it does.
func (m *Meter) Count() int64 {
	if 2*m.ranOut > m.cut {
		return 0
	}
	return m.cut + m.ranOut
}

// Reset forgets everything.
func (m *Meter) Reset() { *m = Meter{channels: m.channels, least: m.least} }
