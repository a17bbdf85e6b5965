package canvas

import (
	"bytes"
	"fmt"
	"io"
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"
)

// glass is a small terminal: it shows what was written to it, each cell with
// the codes in force (ECMA-48: SGR, CUP, CUF).
type glass struct {
	w, h, x, y int
	cells      []string
	on         map[string]string // by what it sets: colours, attributes
}

func newGlass(w, h int) *glass {
	return &glass{w: w, h: h, cells: make([]string, w*h), on: map[string]string{}}
}

func (g *glass) Write(b []byte) (int, error) {
	for n := len(b); len(b) > 0; {
		if b[0] == 0x1b {
			b = g.sequence(b)
			continue
		}
		r, size := utf8.DecodeRune(b)
		g.cells[g.y*g.w+g.x] = g.style() + string(r)
		for i := 1; i < runeWidth(r); i++ {
			g.cells[g.y*g.w+g.x+i] = ""
		}
		g.x += runeWidth(r)
		if b = b[size:]; len(b) == 0 {
			return n, nil
		}
	}
	return len(b), nil
}

func (g *glass) style() string {
	var parts []string
	for what, code := range g.on {
		parts = append(parts, what+code)
	}
	slices.Sort(parts)
	return strings.Join(parts, " ")
}

func (g *glass) sequence(b []byte) []byte {
	end := bytes.IndexFunc(b[2:], func(r rune) bool { return r >= 0x40 }) + 2
	args := strings.Split(string(b[2:end]), ";")
	n, _ := strconv.Atoi(args[0])
	switch b[end] {
	case 'm':
		g.sgr(args)
	case 'C':
		g.x += max(n, 1)
	case 'H':
		g.x, g.y = 0, max(n, 1)-1
		if len(args) > 1 {
			col, _ := strconv.Atoi(args[1])
			g.x = max(col, 1) - 1
		}
	default:
		panic(fmt.Sprintf("sequence %q", b[:end+1]))
	}
	return b[end+1:]
}

func (g *glass) sgr(args []string) {
	for i := 0; i < len(args); i++ {
		switch n, _ := strconv.Atoi(args[i]); n {
		case 0:
			clear(g.on)
		case 1, 4, 7:
			g.on["a"+args[i]] = ""
		case 22:
			delete(g.on, "a1")
		case 24, 27:
			delete(g.on, "a"+args[i][1:])
		case 39, 49:
			delete(g.on, "c"+args[i][:1])
		case 38, 48:
			g.on["c"+args[i][:1]] = strings.Join(args[i:i+5], ";")
			i += 4
		default:
			panic("SGR " + args[i])
		}
	}
}

// scribble draws something random, some of it wide.
func scribble(rnd *rand.Rand, c *Canvas) {
	for range 1 + rnd.Intn(6) {
		s := Style{FG: Color(rnd.Intn(4)), BG: Color(rnd.Intn(4)), Attr: Attr(rnd.Intn(8))}
		text := strings.Repeat([]string{" ", "a", "█", "▁", "⠿", "麦", "ab c"}[rnd.Intn(7)], 1+rnd.Intn(9))
		c.Text(rnd.Intn(c.w+4)-4, rnd.Intn(c.h), text, s)
	}
}

func testPalette() *Palette {
	return NewPalette(colorprofile.TrueColor, []string{"", "#102030", "#ffffff", "#009e73"})
}

// TestChangesShowTheSame: pictures sent as changes, over one another and at
// changing sizes, end in the same as each sent whole.
func TestChangesShowTheSame(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	palette := testPalette()
	for range 60 {
		var c Canvas
		var thrifty *glass
		p := NewPainter(writer(func(b []byte) (int, error) { return thrifty.Write(b) }))
		p.Begin("")
		for frame := range 40 {
			if frame%20 == 0 {
				c.Resize(1+rnd.Intn(40), 1+rnd.Intn(12))
				thrifty = newGlass(c.w, c.h)
			}
			scribble(rnd, &c)
			if rnd.Intn(10) == 0 {
				p.Redraw()
			}
			p.Show(&c, palette)
			p.Paint()
			whole := newGlass(c.w, c.h)
			q := NewPainter(whole)
			q.Begin("")
			q.Show(&c, palette)
			q.Paint()
			require.Equal(t, whole.cells, thrifty.cells, "picture %d of %d × %d", frame, c.w, c.h)
		}
	}
}

type writer func([]byte) (int, error)

func (w writer) Write(b []byte) (int, error) { return w(b) }

func TestOnlyWhatChangedIsSent(t *testing.T) {
	var out bytes.Buffer
	var c Canvas
	c.Resize(8, 2)
	p := NewPainter(&out)
	p.Begin("")
	sent := func() string {
		t.Helper()
		out.Reset()
		p.Show(&c, testPalette0)
		p.Paint()
		return out.String()
	}
	ink := Style{FG: 1}
	c.Text(0, 1, "ab", ink)
	require.NotEmpty(t, sent())
	require.Empty(t, sent(), "the same picture")
	c.Text(1, 1, "x", ink)
	require.Equal(t, "\x1b[2;2H\x1b[38;2;16;32;48mx", sent())
	c.Text(2, 1, "y", ink)
	require.Equal(t, "y", sent(), "the cursor is there, in this style")
	c.Text(3, 1, "z", ink.With(Bold))
	require.Equal(t, "\x1b[1mz", sent())
	c.Text(6, 1, "!", ink.With(Bold))
	require.Equal(t, "\x1b[2C!", sent())
}

var testPalette0 = testPalette()

// TestATerminalThatHangsHoldsNobody: pictures go on coming, the newest is
// shown once the terminal reads again, and the end waits no longer than told.
func TestATerminalThatHangsHoldsNobody(t *testing.T) {
	r, w := io.Pipe()
	p := NewPainter(w)
	go p.Run()
	p.Begin("begin")
	var c Canvas
	c.Resize(1, 1)
	for i := range 1000 {
		c.Set(0, 0, rune('a'+i%26), Style{})
		p.Show(&c, testPalette0)
	}
	c.Set(0, 0, 'Z', Style{})
	p.Show(&c, testPalette0)
	began := time.Now()
	p.End("end", 20*time.Millisecond)
	require.GreaterOrEqual(t, time.Since(began), 20*time.Millisecond)
	var got strings.Builder
	for b := make([]byte, 4096); !strings.HasSuffix(got.String(), "end"); {
		n, err := r.Read(b)
		require.NoError(t, err)
		got.Write(b[:n])
	}
	require.Less(t, got.Len(), 60, "not a thousand pictures: %q", got.String())
}
