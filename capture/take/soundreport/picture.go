package soundreport

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"rollready/capture/take"
)

// The pictures, in units of their view box. Colours come from the page's
// style sheet, so that they follow light, dark and print.
const (
	width    = 520.0
	height   = 150.0
	left     = 32.0 // room for the dB scale
	bottom   = 18.0 // room for the time or frequency scale
	lowDBFS  = -72.0
	stepDBFS = 12.0
)

// levelPicture draws peak and rms over time, with the markers.
func levelPicture(t take.Take) template.HTML {
	p := t.Picture
	if len(p.PeakDBFS) == 0 || t.Frames == 0 {
		return ""
	}
	span := float64(t.Frames) / float64(t.RateHz)
	at := func(seconds float64) float64 { return left + (width-left)*min(1, seconds/span) }
	var s strings.Builder
	open(&s, fmt.Sprintf("Level over time of %s", t.Title()))
	area(&s, "peak", p.PeakDBFS, p.StepSeconds, at)
	area(&s, "rms", p.RMSDBFS, p.StepSeconds, at)
	scale(&s)
	for i, m := range t.Markers {
		x := at(float64(m.Frame) / float64(t.RateHz))
		fmt.Fprintf(&s, `<path class="marker" d="M%.1f 0V%.1f"/><text class="mark" x="%.1f" y="11">%d</text>`, x, height-bottom, x+2, i+1)
	}
	for n := range 5 {
		x := left + (width-left)*float64(n)/4
		text(&s, x, n == 4, place(t, t.Frames*int64(n)/4))
	}
	s.WriteString("</svg>")
	return template.HTML(s.String())
}

// bandPicture draws the mean level in one-third-octave bands.
func bandPicture(t take.Take) template.HTML {
	p := t.Picture
	if len(p.BandDBFS) == 0 || len(p.BandHz) != len(p.BandDBFS) {
		return ""
	}
	var s strings.Builder
	open(&s, fmt.Sprintf("Spectrum of %s in one-third-octave bands", t.Title()))
	step := (width - left) / float64(len(p.BandDBFS))
	for i, level := range p.BandDBFS {
		x, y := left+step*float64(i), height1(level)
		fmt.Fprintf(&s, `<rect class="band" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, x+1, y, step-2, max(0, height-bottom-y))
		if i%3 == 0 {
			text(&s, x, false, hz(p.BandHz[i]))
		}
	}
	scale(&s)
	s.WriteString("</svg>")
	return template.HTML(s.String())
}

func open(s *strings.Builder, title string) {
	fmt.Fprintf(s, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s">`, width, height, template.HTMLEscapeString(title))
}

// scale draws a line and a figure every 12 dB.
func scale(s *strings.Builder) {
	for level := 0.0; level > lowDBFS; level -= stepDBFS {
		y := height1(level)
		fmt.Fprintf(s, `<path class="grid" d="M%g %.1fH%g"/><text x="0" y="%.1f">%s</text>`, left, y, width, max(11, y+4), minus(level))
	}
	fmt.Fprintf(s, `<path class="axis" d="M%g %gH%g"/>`, left, height-bottom, width)
}

// area fills under a curve. Levels at or under the scale lie on its ground.
func area(s *strings.Builder, class string, levels []float64, step float64, at func(float64) float64) {
	ground := height - bottom
	fmt.Fprintf(s, `<path class="%s" d="M%g %g`, class, left, ground)
	for i, level := range levels {
		y := height1(level)
		fmt.Fprintf(s, "L%.1f %.1fL%.1f %.1f", at(step*float64(i)), y, at(step*float64(i+1)), y)
	}
	fmt.Fprintf(s, `V%gZ"/>`, ground)
}

// height1 is the place of a level on the scale.
func height1(level float64) float64 {
	if math.IsNaN(level) {
		level = lowDBFS
	}
	return (height - bottom) * min(0, max(lowDBFS, level)) / lowDBFS
}

func text(s *strings.Builder, x float64, ends bool, words string) {
	class := ""
	if ends {
		class = ` class="end"`
	}
	fmt.Fprintf(s, `<text%s x="%.1f" y="%g">%s</text>`, class, x, height-4, template.HTMLEscapeString(words))
}

func hz(x float64) string {
	if x >= 1000 {
		return fmt.Sprintf("%gk", x/1000)
	}
	return fmt.Sprintf("%g", x)
}

// minus writes a level with a true minus sign.
func minus(x float64) string { return strings.Replace(fmt.Sprintf("%g", x), "-", "−", 1) }
