package filter

import "math"

// negligible is the size under which a state is taken for zero: far under
// anything a float32 shows, far above the denormals that slow a processor.
const negligible = 1e-100

// Run takes interleaved frames through the section c in place, one state per
// channel, 1 or 2 channels. It gives what Step gives, faster. Audio thread:
// never allocates.
func (c *Biquad) Run(states []State, frames []float64) {
	if len(states) == 2 {
		c.runStereo(states, frames)
		return
	}
	s := states[0]
	for i, x := range frames {
		y := c.B0*x + s.z1
		s.z1 = (c.B1*x + s.z2) - c.A1*y
		s.z2 = c.B2*x - c.A2*y
		frames[i] = y
	}
	states[0] = s.settled()
}

// runStereo interleaves two recursions so that the processor overlaps them.
func (c *Biquad) runStereo(states []State, frames []float64) {
	l, r := states[0], states[1]
	b0, b1, b2, a1, a2 := c.B0, c.B1, c.B2, c.A1, c.A2
	for ; len(frames) >= 2; frames = frames[2:] {
		x, v := frames[0], frames[1]
		y, w := b0*x+l.z1, b0*v+r.z1
		l.z1, r.z1 = (b1*x+l.z2)-a1*y, (b1*v+r.z2)-a1*w
		l.z2, r.z2 = b2*x-a2*y, b2*v-a2*w
		frames[0], frames[1] = y, w
	}
	states[0], states[1] = l.settled(), r.settled()
}

// RunTwo takes one channel through two sections, c first, in place. It gives
// what two Runs give, faster: the processor overlaps the two. Audio thread:
// never allocates.
func RunTwo(c, d *Biquad, s, t *State, frames []float64) {
	s1, s2, t1, t2 := s.z1, s.z2, t.z1, t.z2
	for i, x := range frames {
		y := c.B0*x + s1
		s1 = (c.B1*x + s2) - c.A1*y
		s2 = c.B2*x - c.A2*y
		z := d.B0*y + t1
		t1 = (d.B1*y + t2) - d.A1*z
		t2 = d.B2*y - d.A2*z
		frames[i] = z
	}
	*s, *t = State{s1, s2}.settled(), State{t1, t2}.settled()
}

// RunThree is RunTwo with a third section, e. Audio thread: never allocates.
func RunThree(c, d, e *Biquad, s, t, u *State, frames []float64) {
	s1, s2, t1, t2, u1, u2 := s.z1, s.z2, t.z1, t.z2, u.z1, u.z2
	for i, x := range frames {
		y := c.B0*x + s1
		s1 = (c.B1*x + s2) - c.A1*y
		s2 = c.B2*x - c.A2*y
		z := d.B0*y + t1
		t1 = (d.B1*y + t2) - d.A1*z
		t2 = d.B2*y - d.A2*z
		w := e.B0*z + u1
		u1 = (e.B1*z + u2) - e.A1*w
		u2 = e.B2*z - e.A2*w
		frames[i] = w
	}
	*s, *t, *u = State{s1, s2}.settled(), State{t1, t2}.settled(), State{u1, u2}.settled()
}

func (s State) settled() State { return State{settled(s.z1), settled(s.z2)} }

func settled(z float64) float64 {
	if math.Abs(z) < negligible {
		return 0
	}
	return z
}
