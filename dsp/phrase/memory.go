package phrase

// Memory always holds the last seconds of a stream. One goroutine uses it.
type Memory struct {
	rateHz, channels int
	ring             []float32
	at               int // sample to be written next
	full             bool
}

// NewMemory makes a memory of so many seconds.
func NewMemory(rateHz, channels int, seconds float64) *Memory {
	return &Memory{rateHz: rateHz, channels: channels, ring: make([]float32, int(seconds*float64(rateHz))*channels)}
}

// Add takes interleaved frames. It does not allocate.
func (m *Memory) Add(block []float32) {
	for len(block) > 0 {
		n := copy(m.ring[m.at:], block)
		block = block[n:]
		if m.at += n; m.at == len(m.ring) {
			m.at, m.full = 0, true
		}
	}
}

// Take copies what is remembered, oldest first.
func (m *Memory) Take() []float32 {
	if !m.full {
		return append([]float32(nil), m.ring[:m.at]...)
	}
	return append(append([]float32(nil), m.ring[m.at:]...), m.ring[:m.at]...)
}

// Loop makes a loop of what is remembered.
func (m *Memory) Loop() (*Loop, error) { return NewLoop(m.Take(), m.rateHz, m.channels) }

// Reset forgets everything.
func (m *Memory) Reset() { m.at, m.full = 0, false }
