// Package gap finds holes in the sound: frames that were lost and became
// zeros.
package gap

const (
	leastSeconds = 0.001
	edge         = 0.002 // −54 dBFS: quieter sound may well end in zeros
	lookBack     = 32    // frames
)

// Meter counts holes: at least a millisecond of zeros in all channels that
// begins amid sound and ends again. The sound just before decides, so fades
// to silence are no holes. Not safe for concurrent use.
type Meter struct {
	channels, least int
	recent          [lookBack]float32 // peaks of the last frames, a ring
	at              int
	zeros           int
	abrupt          bool
	count           int64
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
		m.abrupt = m.loudBefore()
		m.zeros = 1
	case peak == 0:
		m.zeros++
	default:
		if m.zeros >= m.least && m.abrupt {
			m.count++
		}
		m.zeros = 0
		m.recent[m.at] = peak
		m.at = (m.at + 1) % lookBack
	}
}

func (m *Meter) loudBefore() bool {
	for _, p := range m.recent {
		if p > edge {
			return true
		}
	}
	return false
}

// Count gives the holes so far.
func (m *Meter) Count() int64 { return m.count }

// Reset forgets everything.
func (m *Meter) Reset() { *m = Meter{channels: m.channels, least: m.least} }
