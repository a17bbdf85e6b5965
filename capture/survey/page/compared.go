package page

import (
	"html/template"
	"path/filepath"

	"rollready/capture/picture"
	"rollready/capture/survey"
	"rollready/dsp/figure"
)

// compared is a comparison in words and pictures.
type compared struct {
	A, B, Verdict string
	Lengths       [2]string // of the whole recordings
	Common        string    // the part that the rest is of
	Clean         bool
	Reasons       []string
	How           string // they lie to each other
	Rows          []row
	Levels        [2]pictures
	Bands         pictures
}

// row is one measure of both.
type row struct{ Name, A, B string }

func newCompared(c *survey.Comparison) *compared {
	v := &compared{A: filepath.Base(c.Sides[0].Path), B: filepath.Base(c.Sides[1].Path), Verdict: c.Verdict(), How: c.How(), Common: c.Common()}
	for i, r := range c.Whole {
		v.Lengths[i] = clock(float64(r.DurationS))
	}
	for _, r := range c.Reasons {
		v.Reasons = append(v.Reasons, r.Message)
	}
	for _, m := range c.Table() {
		v.Rows = append(v.Rows, row{m.Name, m.A, m.B})
	}
	for i, r := range c.Measured {
		v.Levels[i] = both(func(s size) template.HTML { return levelPicture(r, s) })
	}
	v.Bands = both(func(s size) template.HTML { return bothBands(c, s) })
	return v
}

// bothBands draws the mean of each band of both at the same loudness.
func bothBands(c *survey.Comparison, s size) template.HTML {
	p := picture.New("Bands of both recordings at the same loudness", s.width, s.height, 0, lowestBand)
	hertz, a, _, roomA := columns(c.Measured[0].Bands)
	_, b, _, roomB := columns(c.Measured[1].Bands)
	wide := max(1, max(len(a), len(b)))
	step := 1 / float64(wide)
	p.Line("one", a, step)
	p.Line("most", shifted(b, c.GainDB), step)
	p.Line("one floor", roomA, step)
	p.Line("most floor", shifted(roomB, c.GainDB), step)
	p.Scale(bandStep)
	p.Hertz(hertz, s.hertz)
	return p.HTML()
}

func shifted(levels []float64, by figure.Figure) []float64 {
	moved := make([]float64, len(levels))
	for i, v := range levels {
		moved[i] = v - float64(by)
	}
	return moved
}
