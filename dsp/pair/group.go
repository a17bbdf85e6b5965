package pair

// Group compares every two of a number of channels. Not safe for concurrent
// use.
type Group struct {
	n      int
	meters []Meter // of 0+1, 0+2, 1+2, 0+3, …
	two    []float32
	skip   int // frames to pass over
}

// NewGroup makes a Group for interleaved frames. Of more than two channels it
// looks at one frame in so many: the same moments of all, which is enough.
func NewGroup(channels int) *Group {
	return &Group{n: channels, meters: make([]Meter, channels*(channels-1)/2), two: make([]float32, 2)}
}

// Process takes interleaved frames. It does not allocate.
func (g *Group) Process(block []float32) {
	switch {
	case g.n < 2:
		return
	case g.n == 2:
		g.meters[0].Process(block)
		return
	}
	frames := len(block) / g.n
	at := g.skip
	for ; at < frames; at += g.n {
		g.frame(block[at*g.n : (at+1)*g.n])
	}
	g.skip = at - frames
}

func (g *Group) frame(frame []float32) {
	i := 0
	for b := 1; b < g.n; b++ {
		for a := range b {
			g.two[0], g.two[1] = frame[a], frame[b]
			g.meters[i].Process(g.two)
			i++
		}
	}
}

// Of compares two channels, counted from 0.
func (g *Group) Of(a, b int) *Meter {
	if a > b {
		a, b = b, a
	}
	return &g.meters[b*(b-1)/2+a]
}
