// Package picture draws levels over time and over frequency, as SVG inside a
// page. Colours come from the page's style, so that they follow light, dark
// and print.
package picture

import (
	_ "embed"
	"fmt"
	"html/template"
	"math"
	"strings"

	"rollready/dsp/figure"
)

//go:embed style.css
var style string

// Style is the style sheet that pages with pictures share. It asks for nothing
// from elsewhere.
func Style() template.CSS { return template.CSS(style) }

const (
	left   = 32.0 // room for the dB scale
	bottom = 18.0 // room for the time or frequency scale
	above  = 2.0
)

// Chart is a picture in the making. Levels are in dB; places go from 0 at the
// left to 1 at the right.
type Chart struct {
	svg           strings.Builder
	width, height float64
	top, low      float64 // dB
}

// New begins a picture of so many units, from a level at the top to one at
// the ground. The title is for those who can't see it.
func New(title string, width, height, topDB, lowDB float64) *Chart {
	c := &Chart{width: width, height: height, top: topDB, low: lowDB}
	fmt.Fprintf(&c.svg, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s">`, width, height, template.HTMLEscapeString(title))
	return c
}

// X is where a place lies.
func (c *Chart) X(place float64) float64 { return left + (c.width-left)*max(0, min(1, place)) }

// Y is where a level lies; what is off the scale lies at its edge.
func (c *Chart) Y(level float64) float64 {
	if math.IsNaN(level) {
		level = c.low
	}
	return above + (c.ground()-above)*(c.top-max(c.low, min(c.top, level)))/(c.top-c.low)
}

func (c *Chart) ground() float64 { return c.height - bottom }

// Scale draws a line and a figure every so many dB.
func (c *Chart) Scale(stepDB float64) {
	for level := math.Floor(c.top/stepDB) * stepDB; level > c.low; level -= stepDB {
		y := c.Y(level)
		fmt.Fprintf(&c.svg, `<path class="grid" d="M%g %.1fH%g"/><text x="0" y="%.1f">%s</text>`, left, y, c.width, max(11, y+4), figure.Text(level, -1))
	}
	fmt.Fprintf(&c.svg, `<path class="axis" d="M%g %gH%g"/>`, left, c.ground(), c.width)
}

// Area fills under levels, each as wide as step.
func (c *Chart) Area(class string, levels []float64, step float64) {
	fmt.Fprintf(&c.svg, `<path class="%s" d="M%g %g`, class, left, c.ground())
	c.stairs(levels, step)
	fmt.Fprintf(&c.svg, `V%gZ"/>`, c.ground())
}

// Line draws levels, each as wide as step, where they are on the scale.
func (c *Chart) Line(class string, levels []float64, step float64) {
	fmt.Fprintf(&c.svg, `<path class="%s" d="`, class)
	for i := 0; i < len(levels); i++ {
		from := i
		for i < len(levels) && levels[i] > c.low {
			i++
		}
		if i > from {
			fmt.Fprintf(&c.svg, "M%.1f %.1f", c.X(step*float64(from)), c.Y(levels[from]))
			c.stairsFrom(levels[from:i], step, float64(from))
		}
	}
	c.svg.WriteString(`"/>`)
}

func (c *Chart) stairs(levels []float64, step float64) { c.stairsFrom(levels, step, 0) }

func (c *Chart) stairsFrom(levels []float64, step, from float64) {
	for i, level := range levels {
		x := from + float64(i)
		fmt.Fprintf(&c.svg, "L%.1f %.1fH%.1f", c.X(step*x), c.Y(level), c.X(step*(x+1)))
	}
}

// Bars draws a bar per level over the whole width.
func (c *Chart) Bars(class string, levels []float64) {
	wide := (c.width - left) / float64(len(levels))
	for i, level := range levels {
		y := c.Y(level)
		if y < c.ground() {
			fmt.Fprintf(&c.svg, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`,
				class, left+wide*float64(i)+0.15*wide, y, 0.7*wide, c.ground()-y)
		}
	}
}

// Mark draws an upright line at a place, with a word at its top.
func (c *Chart) Mark(class string, place float64, word string) {
	x := c.X(place)
	fmt.Fprintf(&c.svg, `<path class="%s" d="M%.1f 0V%g"/>`, class, x, c.ground())
	switch {
	case word == "":
	case place > 0.9:
		fmt.Fprintf(&c.svg, `<text class="mark end" x="%.1f" y="11">%s</text>`, x-2, template.HTMLEscapeString(word))
	default:
		fmt.Fprintf(&c.svg, `<text class="mark" x="%.1f" y="11">%s</text>`, x+2, template.HTMLEscapeString(word))
	}
}

// Text writes on the scale of time or frequency, from a place on, or up to it.
func (c *Chart) Text(place float64, ends bool, words string) {
	class := ""
	if ends {
		class = ` class="end"`
	}
	fmt.Fprintf(&c.svg, `<text%s x="%.1f" y="%g">%s</text>`, class, c.X(place), c.height-4, template.HTMLEscapeString(words))
}

// Hertz writes a frequency under the middle of every so many bands.
func (c *Chart) Hertz(bands []float64, every int) {
	for i := 0; i < len(bands); i += every {
		x := min(c.X((float64(i)+0.5)/float64(len(bands))), c.width-12)
		fmt.Fprintf(&c.svg, `<text class="middle" x="%.1f" y="%g">%s</text>`, x, c.height-4, Hz(bands[i]))
	}
}

// HTML ends the picture.
func (c *Chart) HTML() template.HTML { return template.HTML(c.svg.String() + "</svg>") }

// Hz writes a frequency in few letters.
func Hz(hz float64) string {
	if hz >= 1000 {
		return fmt.Sprintf("%gk", hz/1000)
	}
	return fmt.Sprintf("%g", hz)
}
