package level

import "math"

const (
	// fallPerHop is the fall of the bar, 20 dB in 1.7 s after IEC 60268-18.
	fallPerHop = 20 / 1.7 / HopsPerSecond
	// silenceDBFS is where a falling bar reaches silence.
	silenceDBFS = -200
)

// Bar is a level that rises at once and falls steadily. It is moved once a hop.
type Bar struct{ dBFS float64 }

// NewBar makes a bar at silence.
func NewBar() Bar { return Bar{math.Inf(-1)} }

// Push moves the bar by one hop whose highest level is peakDBFS.
func (b *Bar) Push(peakDBFS float64) {
	b.dBFS -= fallPerHop
	if b.dBFS < silenceDBFS {
		b.dBFS = math.Inf(-1)
	}
	b.dBFS = max(b.dBFS, peakDBFS)
}

// DBFS is where the bar stands; −Inf is silence.
func (b *Bar) DBFS() float64 { return b.dBFS }
