package terminal

import (
	"bytes"
	"os"
	"strconv"
	"sync"
	"sync/atomic"
	"unicode/utf8"
)

// Output sends only the cells that changed. The library that paints the
// screen repeats a whole line when one cell of it differs; with thirty frames
// a second of moving bars that is several times as much as needed.
//
// It understands what that library writes for a frame whose style sequences
// are complete in themselves. Anything else goes through as it is.
type Output struct {
	*os.File
	mu     sync.Mutex
	stale  atomic.Bool
	over   atomic.Bool // the terminal belongs to the shell again
	grid   grid
	buf    []byte
	bytes  atomic.Int64
	frames atomic.Int64
}

// Redraw makes the next frame repeat every cell: the terminal was resized or
// shows something else. Any goroutine.
func (o *Output) Redraw() { o.stale.Store(true) }

// Sent gives the bytes written to the terminal and the frames in them.
func (o *Output) Sent() (bytes, frames int64) { return o.bytes.Load(), o.frames.Load() }

var home = []byte("\x1b[H")

// Write takes one frame or one sequence, as the painting library writes them.
func (o *Output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.over.Load() {
		return len(p), nil
	}
	if o.stale.Swap(false) {
		o.grid.forget()
	}
	out := p
	if frame, ok := bytes.CutPrefix(p, home); ok && o.grid.take(frame) {
		o.buf = o.grid.changes(o.buf[:0])
		out = o.buf
		o.frames.Add(1)
	} else {
		o.grid.reset()
	}
	o.bytes.Add(int64(len(out)))
	if len(out) == 0 {
		return len(p), nil
	}
	if _, err := o.File.Write(out); err != nil {
		return 0, err
	}
	return len(p), nil
}

// cell is a rune and the number of its style; the zero cell is unknown, the
// right half of a wide rune has rune −1.
type cell struct {
	r     rune
	style int32
}

// grid knows what the screen should show and what it shows.
type grid struct {
	w, h       int
	want, have []cell
	styles     []string
	numbers    map[string]int32
	style      int32 // in force while a frame is read
}

// reset forgets both: something unknown was written.
func (g *grid) reset() { g.w, g.h = 0, 0 }

// forget makes every cell be sent again.
func (g *grid) forget() { clear(g.have) }

// take reads a frame without its first sequence. False: it holds something
// that is not understood.
func (g *grid) take(frame []byte) bool {
	lines := bytes.Count(frame, []byte{'\n'}) + 1
	w := width(frame)
	if w == 0 {
		return false
	}
	if w != g.w || lines != g.h {
		if bytes.Contains(frame, []byte("\n\n")) {
			return false
		}
		g.w, g.h = w, lines
		g.want, g.have = make([]cell, w*lines), make([]cell, w*lines)
	}
	for y := 0; y < lines; y++ {
		line, rest, _ := bytes.Cut(frame, []byte{'\n'})
		if !g.line(y, bytes.TrimSuffix(line, []byte{'\r'})) {
			return false
		}
		frame = rest
	}
	return true
}

// line reads one line into the cells wanted; an empty one stays as it was.
func (g *grid) line(y int, b []byte) bool {
	row := g.want[y*g.w : (y+1)*g.w]
	x := 0
	b = bytes.TrimPrefix(b, []byte{'\r'})
	for len(b) > 0 {
		if b[0] == esc {
			n := g.sequence(b)
			if n == 0 {
				return false
			}
			b = b[n:]
			continue
		}
		r, n := utf8.DecodeRune(b)
		b = b[n:]
		cells := runeCells(r)
		if r < ' ' || cells == 0 || x+cells > g.w {
			return false
		}
		row[x] = cell{r, g.style}
		if cells == 2 {
			row[x+1] = cell{-1, g.style}
		}
		x += cells
	}
	return x == 0 || x == g.w
}

// sequence reads one sequence and gives its length; 0 if it is not understood.
func (g *grid) sequence(b []byte) int {
	end := bytes.IndexFunc(b, func(r rune) bool { return r >= 0x40 && r != '[' && r != esc })
	switch {
	case end < 0:
		return 0
	case b[end] == 'm':
		g.style = g.number(b[:end+1])
	case b[end] == 'H': // where the cursor rests after a frame
	default:
		return 0
	}
	return end + 1
}

func (g *grid) number(seq []byte) int32 {
	if n, ok := g.numbers[string(seq)]; ok {
		return n
	}
	if g.numbers == nil {
		g.numbers = map[string]int32{}
	}
	n := int32(len(g.styles)) + 1
	g.styles = append(g.styles, string(seq))
	g.numbers[string(seq)] = n
	return n
}

// changes appends what makes the screen show what it should.
func (g *grid) changes(out []byte) []byte {
	style, start := int32(0), len(out)
	for y := range g.h {
		at := -1 // where the cursor is on this row, −1: elsewhere
		for x := range g.w {
			i := y*g.w + x
			k := g.want[i]
			if k == g.have[i] || k.r <= 0 {
				continue
			}
			out = g.move(out, at, x, y)
			if k.style != style && k.style > 0 {
				out, style = append(out, g.styles[k.style-1]...), k.style
			}
			out = utf8.AppendRune(out, k.r)
			at = x + runeCells(k.r)
		}
	}
	copy(g.have, g.want)
	if len(out) > start {
		out = append(out, "\x1b[0m"...)
	}
	return out
}

// move brings the cursor to x, y.
func (g *grid) move(out []byte, at, x, y int) []byte {
	if at == x {
		return out
	}
	out = append(out, esc, '[')
	if at >= 0 {
		if x-at > 1 {
			out = strconv.AppendInt(out, int64(x-at), 10)
		}
		return append(out, 'C')
	}
	out = strconv.AppendInt(out, int64(y+1), 10)
	out = append(out, ';')
	out = strconv.AppendInt(out, int64(x+1), 10)
	return append(out, 'H')
}
