package limiter

const (
	unity          = 1 << 30 // gain 1: gains are whole numbers, so that sums are exact and full gain is really full
	holdSeconds    = 0.012   // longer than half a period of 50 Hz, so that a steady tone gets a steady gain
	releaseSeconds = 0.100
	releaseBits    = 24
	leastStep      = unity >> 20 // so that the release comes to an end
)

// gain turns peaks into gains that are low enough at every peak, go down
// smoothly ahead of it, wait, and come back. In order: the least gain asked
// for within a window, a release towards full gain, and two moving averages.
//
// With smooth frames in each average, the gain applied to frame n is made of
// values that all lie at or under what frames n−flat … n+flat ask for; so it
// stands still over the reach of any interpolating filter around a peak.
type gain struct {
	target  float64 // amplitude a peak above the ceiling is brought to
	least   least
	release int64 // share of the way to full gain gone per frame, of 1<<releaseBits
	now     int64
	boxes   [2]box
	idle    int // frames since anything was asked for; all is at full gain after settle
	settle  int
}

func newGain(rateHz, delay, smooth int) gain {
	hold := int(holdSeconds * float64(rateHz))
	g := gain{target: 1, least: newLeast(delay + flat - ahead + 1 + hold)}
	g.release = int64((1 << releaseBits) / (releaseSeconds * float64(rateHz)))
	for i := range g.boxes {
		g.boxes[i].past = make([]int64, smooth)
	}
	g.settle = 2 * smooth
	g.reset()
	return g
}

func (g *gain) reset() {
	g.now, g.idle = unity, g.settle
	g.least.reset()
	for i := range g.boxes {
		g.boxes[i].reset()
	}
}

// run gives a gain for each peak, and the least of them.
func (g *gain) run(gains []int64, peaks []float64, ceiling float64) int64 {
	if g.idle >= g.settle && !anyAbove(peaks, ceiling) {
		g.least.skip(len(peaks))
		return unity
	}
	least := int64(unity)
	for i, p := range peaks {
		ask := int64(unity)
		if p > ceiling {
			ask = int64(g.target / p * unity)
		}
		s := g.step(ask)
		gains[i] = s
		least = min(least, s)
	}
	return least
}

func (g *gain) step(ask int64) int64 {
	up := max(leastStep, (unity-g.now)*g.release>>releaseBits)
	g.now = min(g.least.push(ask), g.now+up)
	if g.now < unity {
		g.idle = 0
	} else {
		g.idle++
	}
	return g.boxes[1].push(g.boxes[0].push(g.now))
}

func anyAbove(peaks []float64, ceiling float64) bool {
	for _, p := range peaks {
		if p > ceiling {
			return true
		}
	}
	return false
}

// box is a moving average.
type box struct {
	past []int64
	at   int
	sum  int64
}

func (b *box) push(v int64) int64 {
	b.sum += v - b.past[b.at]
	b.past[b.at] = v
	if b.at++; b.at == len(b.past) {
		b.at = 0
	}
	return b.sum / int64(len(b.past))
}

func (b *box) reset() {
	for i := range b.past {
		b.past[i] = unity
	}
	b.sum = unity * int64(len(b.past))
}

// least gives the least of the last values pushed. Only values that no later
// one undercuts are kept, in rising order.
type least struct {
	window     int64
	at         int64
	value      []int64 // a ring
	when       []int64
	head, tail int // tail is one past the newest
}

func newLeast(window int) least {
	return least{window: int64(window), value: make([]int64, window+1), when: make([]int64, window+1)}
}

func (l *least) reset() { l.head, l.tail = 0, 0 }

// skip is as pushing full gain n times into a window that holds nothing else.
func (l *least) skip(n int) {
	l.at += int64(n)
	l.reset()
}

func (l *least) push(v int64) int64 {
	for l.tail != l.head && l.value[l.before(l.tail)] >= v {
		l.tail = l.before(l.tail)
	}
	l.value[l.tail], l.when[l.tail] = v, l.at
	l.tail = l.after(l.tail)
	if l.when[l.head] <= l.at-l.window {
		l.head = l.after(l.head)
	}
	l.at++
	return l.value[l.head]
}

func (l *least) before(i int) int {
	if i == 0 {
		return len(l.value) - 1
	}
	return i - 1
}

func (l *least) after(i int) int {
	if i == len(l.value)-1 {
		return 0
	}
	return i + 1
}
