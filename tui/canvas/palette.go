package canvas

import (
	"strings"
	"unicode/utf8"

	"github.com/muesli/termenv"
)

// Palette turns styles into the terminal's sequences. One goroutine uses it.
type Palette struct {
	fg, bg []string
	cache  map[Style]string
}

// NewPalette takes the colours as "#rrggbb" by index, "" for the terminal's
// own, and what the terminal can show.
func NewPalette(profile termenv.Profile, colors []string) *Palette {
	p := &Palette{cache: map[Style]string{}}
	for _, hex := range colors {
		fg, bg := "", ""
		if c := profile.Color(hex); hex != "" && c != nil {
			fg, bg = c.Sequence(false), c.Sequence(true)
		}
		p.fg, p.bg = append(p.fg, fg), append(p.bg, bg)
	}
	return p
}

// SGR gives the whole sequence of a style: it needs nothing of the one before.
func (p *Palette) SGR(s Style) string {
	if seq, ok := p.cache[s]; ok {
		return seq
	}
	parts := []string{"0"}
	for i, code := range []string{"1", "7", "4"} {
		if s.Attr&(1<<i) != 0 {
			parts = append(parts, code)
		}
	}
	for _, c := range []string{p.fg[s.FG], p.bg[s.BG]} {
		if c != "" {
			parts = append(parts, c)
		}
	}
	seq := "\x1b[" + strings.Join(parts, ";") + "m"
	p.cache[s] = seq
	return seq
}

// Render gives the canvas as lines for the terminal, each of exactly its
// width; the last has no line break.
func (c *Canvas) Render(p *Palette) string {
	c.out = c.out[:0]
	for y := range c.h {
		if y > 0 {
			c.out = append(c.out, '\n')
		}
		c.line(y, p)
	}
	return string(c.out)
}

func (c *Canvas) line(y int, p *Palette) {
	var now Style
	for x, k := range c.cells[y*c.w : (y+1)*c.w] {
		if k.r == 0 {
			continue
		}
		if x == 0 || k.s != now {
			now = k.s
			c.out = append(c.out, p.SGR(now)...)
		}
		c.out = utf8.AppendRune(c.out, k.r)
	}
}
