// Package canvas is a grid of styled cells, and its way to a terminal.
//
// A [Canvas] always has exactly its width and height, whatever was drawn: text
// is cut, wide runes are never halved, control characters vanish. A [Painter]
// sends it as the fewest bytes that make the terminal show it. Nothing that
// was rendered is ever read back: cells are compared with cells. What a style
// looks like is a [Palette]'s, so that a theme changes without drawing anew.
package canvas

import "strings"

// Color is an index into a Palette; 0 is the terminal's own colour.
type Color uint8

// Attr is a set of text attributes.
type Attr uint8

// The attributes.
const (
	Bold Attr = 1 << iota
	Reverse
	Underline
)

// Style is how a cell looks.
type Style struct {
	FG, BG Color
	Attr   Attr
}

// On gives the style on another ground.
func (s Style) On(bg Color) Style { s.BG = bg; return s }

// With gives the style with more attributes.
func (s Style) With(a Attr) Style { s.Attr |= a; return s }

type cell struct {
	r rune // 0: right half of the wide rune to the left
	s Style
}

// Canvas is a grid of cells. One goroutine uses it.
type Canvas struct {
	w, h  int
	cells []cell
}

// Resize makes the canvas w by h cells, blank.
func (c *Canvas) Resize(w, h int) {
	c.w, c.h = max(w, 0), max(h, 0)
	if n := c.w * c.h; cap(c.cells) < n {
		c.cells = make([]cell, n)
	} else {
		c.cells = c.cells[:n]
	}
	c.Clear(Style{})
}

// Bounds is the whole canvas.
func (c *Canvas) Bounds() Rect { return Rect{0, 0, c.w, c.h} }

// Clear blanks the canvas.
func (c *Canvas) Clear(s Style) {
	for i := range c.cells {
		c.cells[i] = cell{' ', s}.plain()
	}
}

// Set puts a rune of one cell at x, y; outside the canvas it does nothing.
func (c *Canvas) Set(x, y int, r rune, s Style) {
	if x < 0 || y < 0 || x >= c.w || y >= c.h {
		return
	}
	i := y*c.w + x
	c.unwide(x, i)
	c.cells[i] = cell{r, s}.plain()
}

// plain leaves out of a blank cell's style what can't be seen.
func (k cell) plain() cell {
	if k.r == ' ' && k.s.Attr&(Reverse|Underline) == 0 {
		k.s = Style{BG: k.s.BG}
	}
	return k
}

// unwide blanks the other half of a wide rune that is about to be cut.
func (c *Canvas) unwide(x, i int) {
	if c.cells[i].r == 0 && x > 0 {
		c.cells[i-1].r = ' '
	}
	if x+1 < c.w && c.cells[i+1].r == 0 {
		c.cells[i+1].r = ' '
	}
}

// At gives the rune at x, y, ' ' outside; for drawing over what is there.
func (c *Canvas) At(x, y int) (rune, Style) {
	if x < 0 || y < 0 || x >= c.w || y >= c.h {
		return ' ', Style{}
	}
	k := c.cells[y*c.w+x]
	return k.r, k.s
}

// Fill sets every cell of an area.
func (c *Canvas) Fill(a Rect, r rune, s Style) {
	for y := a.Y; y < a.Y+a.H; y++ {
		for x := a.X; x < a.X+a.W; x++ {
			c.Set(x, y, r, s)
		}
	}
}

// Tint changes the ground of an area and leaves what is drawn there.
func (c *Canvas) Tint(a Rect, bg Color) {
	a = a.Clip(c.Bounds())
	for y := a.Y; y < a.Y+a.H; y++ {
		for x := a.X; x < a.X+a.W; x++ {
			c.cells[y*c.w+x].s.BG = bg
		}
	}
}

// Text writes one line from x, y, cut at the canvas' edge, and gives the x
// after it. Control characters and marks without width are left out.
func (c *Canvas) Text(x, y int, text string, s Style) int {
	for _, r := range text {
		switch w := runeWidth(r); {
		case w == 1:
			c.Set(x, y, r, s)
			x++
		case w == 2 && x >= 0 && x+1 < c.w:
			c.Set(x, y, r, s)
			c.Set(x+1, y, ' ', s)
			if y >= 0 && y < c.h {
				c.cells[y*c.w+x+1].r = 0
			}
			x += 2
		case w == 2:
			c.Set(x, y, ' ', s)
			x++
		}
	}
	return x
}

// TextIn writes one line into the first row of an area; what does not fit
// ends in "…". It gives the x after the text.
func (c *Canvas) TextIn(a Rect, text string, s Style) int {
	if a.W <= 0 || a.H <= 0 {
		return a.X
	}
	return c.Text(a.X, a.Y, Cut(text, a.W), s)
}

// TextRight writes one line flush with the right edge of an area.
func (c *Canvas) TextRight(a Rect, text string, s Style) {
	text = Cut(text, a.W)
	c.Text(a.X+a.W-Width(text), a.Y, text, s)
}

// String gives the runes as lines, for tests and for eyes.
func (c *Canvas) String() string {
	var b strings.Builder
	for i, k := range c.cells {
		if i > 0 && i%c.w == 0 {
			b.WriteByte('\n')
		}
		if k.r != 0 {
			b.WriteRune(k.r)
		}
	}
	return b.String()
}
