package canvas

import (
	"io"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"time"
	"unicode/utf8"
)

// Painter brings pictures to a terminal on a goroutine of its own, so that a
// terminal which stops reading holds nobody up: of the pictures that come
// meanwhile the newest is shown. Only cells that differ from those on the
// terminal are sent; where none does, nothing is, and nobody wakes.
type Painter struct {
	ASCII bool // the terminal has no other runes; set before Run

	out    io.Writer
	wake   chan struct{}
	bytes  atomic.Int64
	frames atomic.Int64

	mu    sync.Mutex
	next  picture
	stale bool // the terminal no longer shows what was sent
	off   bool // the terminal belongs to somebody else
	raw   []byte
	sent  chan struct{} // closed when raw has been written; nil: nobody waits

	pen  pen // these two are the painting goroutine's
	memo picture
}

// picture is what a terminal shows.
type picture struct {
	w, h    int
	cells   []cell
	palette *Palette
}

func (p *picture) same(o *picture) bool {
	return p.w == o.w && p.h == o.h && p.palette == o.palette && slices.Equal(p.cells, o.cells)
}

func (p *picture) copy(o *picture) {
	p.w, p.h, p.palette, p.cells = o.w, o.h, o.palette, append(p.cells[:0], o.cells...)
}

// NewPainter makes a painter for a terminal. Run must be started.
func NewPainter(out io.Writer) *Painter {
	return &Painter{out: out, wake: make(chan struct{}, 1), off: true}
}

// Show hands over a picture and returns at once.
func (p *Painter) Show(c *Canvas, palette *Palette) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := picture{c.w, c.h, c.cells, palette}
	if p.next.same(&now) {
		return
	}
	p.next.copy(&now)
	p.ring()
}

// Send sends a sequence that draws nothing, such as the bell; nothing while the
// terminal belongs to somebody else.
func (p *Painter) Send(seq string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.off {
		p.raw = append(p.raw, seq...)
		p.ring()
	}
}

// Redraw repeats every cell: the terminal shows something else.
func (p *Painter) Redraw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.stale = true
	p.ring()
}

// Begin sends a sequence, and pictures from then on.
func (p *Painter) Begin(seq string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.off, p.stale, p.raw = false, true, append(p.raw, seq...)
	p.ring()
}

// End sends a sequence, and no picture from then on. It waits until that is
// on the terminal, or no longer than limit.
func (p *Painter) End(seq string, limit time.Duration) {
	p.mu.Lock()
	if p.off {
		p.mu.Unlock()
		return
	}
	sent := make(chan struct{})
	p.off, p.raw, p.sent = true, append(p.raw, seq...), sent
	p.ring()
	p.mu.Unlock()
	select {
	case <-sent:
	case <-time.After(limit):
	}
}

// Sent gives the bytes written to the terminal and the writes it took.
func (p *Painter) Sent() (bytes, frames int64) { return p.bytes.Load(), p.frames.Load() }

func (p *Painter) ring() {
	select {
	case p.wake <- struct{}{}:
	default:
	}
}

// Run paints whatever comes until the program ends.
func (p *Painter) Run() {
	for range p.wake {
		p.Paint()
	}
}

// Paint sends what is new. Only one goroutine may: the one that runs Run, or
// where there is none, any.
func (p *Painter) Paint() {
	now := &p.memo
	p.mu.Lock()
	if p.stale {
		p.pen.forget()
	}
	off, sent := p.off, p.sent
	p.pen.out = append(p.pen.out[:0], p.raw...)
	if !off {
		now.copy(&p.next)
		p.stale = false
	}
	p.raw, p.sent = p.raw[:0], nil
	p.mu.Unlock()
	if !off {
		p.pen.ascii = p.ASCII
		p.pen.paint(now)
	}
	if len(p.pen.out) > 0 {
		n, _ := p.out.Write(p.pen.out)
		p.bytes.Add(int64(n))
		p.frames.Add(1)
	}
	if sent != nil {
		close(sent)
	}
}

// pen writes the cells that differ from those on the terminal.
type pen struct {
	shown picture
	out   []byte
	style Style
	x, y  int  // where the cursor is
	known bool // where the cursor is, and its style
	ascii bool // see Painter
}

// forget makes every cell be sent again.
func (p *pen) forget() { p.shown.w, p.known = -1, false }

func (p *pen) paint(want *picture) {
	if want.palette == nil {
		return
	}
	if s := &p.shown; s.w != want.w || s.h != want.h || s.palette != want.palette {
		s.copy(want)
		clear(s.cells)
		p.known = false
	}
	for y := range want.h {
		row := y * want.w
		for x := range want.w {
			if k := want.cells[row+x]; k.r != 0 && k != p.shown.cells[row+x] {
				p.put(want, x, y)
			}
		}
	}
	copy(p.shown.cells, want.cells)
}

// put writes one cell.
func (p *pen) put(of *picture, x, y int) {
	if !p.known {
		p.out = append(p.out, "\x1b[0m"...)
		p.style = Style{}
	}
	k := of.cells[y*of.w+x]
	p.move(of, x, y)
	p.out = of.palette.change(p.out, p.style, k.s)
	p.style = k.s
	wide := x+1 < of.w && of.cells[y*of.w+x+1].r == 0
	switch {
	case !p.ascii:
		p.out = utf8.AppendRune(p.out, k.r)
	case wide:
		p.out = append(p.out, byte(ASCII(k.r)), ' ')
	default:
		p.out = append(p.out, byte(ASCII(k.r)))
	}
	p.x, p.y, p.known = x+1, y, true
	if wide || p.x == of.w {
		p.x = -1 // terminals differ in where that leaves the cursor
	}
}

// nearby is up to how many cells are written again rather than skipped.
const nearby = 3

// move brings the cursor to x, y.
func (p *pen) move(of *picture, x, y int) {
	if p.known && p.y == y && p.x == x {
		return
	}
	if gap := x - p.x; p.known && p.y == y && p.x >= 0 && gap > 0 {
		if gap <= nearby && p.fill(of.cells[y*of.w+p.x:y*of.w+x]) {
			return
		}
		p.out = append(p.out, "\x1b["...)
		if gap > 1 {
			p.out = strconv.AppendInt(p.out, int64(gap), 10)
		}
		p.out = append(p.out, 'C')
		return
	}
	p.out = append(p.out, "\x1b["...)
	p.out = strconv.AppendInt(p.out, int64(y+1), 10)
	if x > 0 {
		p.out = append(p.out, ';')
		p.out = strconv.AppendInt(p.out, int64(x+1), 10)
	}
	p.out = append(p.out, 'H')
}

// fill writes cells again that are as they were, where that takes less than
// to skip them.
func (p *pen) fill(cells []cell) bool {
	for _, k := range cells {
		if k.s != p.style || k.r < ' ' || k.r > '~' {
			return false
		}
	}
	for _, k := range cells {
		p.out = append(p.out, byte(k.r))
	}
	return true
}
