package soundreport

import (
	"fmt"
	"html/template"

	"rollready/capture/picture"
	"rollready/capture/take"
)

// The pictures' size, in units of their own, and the range of their scale.
const (
	width    = 520.0
	height   = 150.0
	lowDBFS  = -72.0
	stepDBFS = 12.0
)

// levelPicture draws the peak over time, and the rms as a step line, with the markers.
func levelPicture(t take.Take) template.HTML {
	p := t.Picture
	if len(p.PeakDBFS) == 0 || t.Frames == 0 {
		return ""
	}
	span := float64(t.Frames) / float64(t.RateHz)
	c := picture.New(fmt.Sprintf("Level over time of %s", t.Title()), width, height, 0, lowDBFS)
	c.Area("peak", p.PeakDBFS, p.StepSeconds/span)
	c.Line("rms", p.RMSDBFS, p.StepSeconds/span)
	c.Scale(stepDBFS)
	for i, m := range t.Markers {
		c.Mark("marker", float64(m.Frame)/float64(t.RateHz)/span, fmt.Sprint(i+1))
	}
	for n := range 5 {
		c.Text(float64(n)/4, n == 4, place(t, t.Frames*int64(n)/4))
	}
	return c.HTML()
}

// bandPicture draws the mean level in one-third-octave bands.
func bandPicture(t take.Take) template.HTML {
	p := t.Picture
	if len(p.BandDBFS) == 0 || len(p.BandHz) != len(p.BandDBFS) {
		return ""
	}
	c := picture.New(fmt.Sprintf("Spectrum of %s in one-third-octave bands", t.Title()), width, height, 0, lowDBFS)
	c.Bars("band", p.BandDBFS)
	c.Hertz(p.BandHz, 3)
	c.Scale(stepDBFS)
	return c.HTML()
}
