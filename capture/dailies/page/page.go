// Package page writes the day's report as one HTML page: which clip has which
// take, how they lie to each other, what the camera did to the sound, and which
// sound to use. The page holds its style, its pictures and the few lines that
// sort its table, and asks for nothing from elsewhere.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"path/filepath"
	"time"

	"rollready/capture/dailies"
	"rollready/capture/picture"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

//go:embed page.html
var pageText string

// Report is what the page tells of.
type Report struct {
	Day     dailies.Day
	Outputs []dailies.Output
	Keep    string // folder of what was found out, for the pictures
	Made    time.Time
}

// Write writes the page.
func Write(w io.Writer, r Report) error {
	page, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	return page.Execute(w, r.view())
}

// view is the report in words.
type view struct {
	Style     template.CSS
	Made, Sum string
	Clips     []clipView
	Alone     []string
	Failed    []string
}

// cell is a figure with what to sort by.
type cell struct {
	Text string
	By   float64
}

type clipView struct {
	ID, Name, Began, Timecode, Takes, Use, Why, File string
	Good                                             bool
	Length, At, Clock, Moves, Bad                    cell
	Levels                                           template.HTML
	Parts, Stretches, Lost                           []string
	Camera, Take                                     []string // findings
}

func (r Report) view() view {
	v := view{Style: picture.Style(), Made: r.Made.Format("2006-01-02 15:04")}
	with := 0
	for i, c := range r.Day.Clips {
		v.Clips = append(v.Clips, r.clip(i, c))
		if len(c.Parts) > 0 {
			with++
		}
	}
	for _, t := range r.Day.Alone() {
		v.Alone = append(v.Alone, plain.Text(filepath.Base(t.Path))+", "+dailies.Clock(t.Seconds()))
	}
	for _, f := range r.Day.Failed {
		v.Failed = append(v.Failed, plain.Text(f.Err))
	}
	v.Sum = fmt.Sprintf("%d clips, %d of them with a take; %d takes, %d of them without a clip", len(r.Day.Clips), with, len(r.Day.Takes), len(v.Alone))
	return v
}

func (r Report) clip(i int, c dailies.Clip) clipView {
	use, why := c.Use()
	v := clipView{ID: fmt.Sprintf("clip-%d", i+1), Name: plain.Text(filepath.Base(c.Path)), Use: string(use), Why: why, Good: len(c.Parts) > 0,
		Length: cell{dailies.Clock(c.LengthS()), c.LengthS()}, At: cell{By: -1}, Clock: cell{By: -1}, Moves: cell{By: -1}, Bad: cell{By: -1}}
	if !c.Began().IsZero() {
		v.Began = c.Began().Format("2006-01-02 15:04:05")
	}
	if c.Picture.Frames > 0 {
		v.Timecode = fmt.Sprintf("%s at %s pictures per second", c.Picture.Start(), c.Picture.Rate)
	}
	mended := false
	for _, o := range r.Outputs {
		if o.Clip == i && o.Mended {
			mended = true
		} else if o.Clip == i {
			v.File = plain.Text(filepath.Base(o.Path))
		}
	}
	v.parts(c)
	v.heard(c, mended)
	v.Camera = sentences(c.Findings)
	v.Levels = r.levels(c)
	return v
}

func (v *clipView) parts(c dailies.Clip) {
	for k, p := range c.Parts {
		name := plain.Text(filepath.Base(p.Take.Path))
		at := p.TakeS(c.Recording, 0)
		if k == 0 {
			v.Takes = name
			v.At = cell{figure.Sprintf("%.4f s", at), at}
			v.Clock = cell{figure.Sprintf("%+.2f ppm", p.Fit.PPM), p.Fit.PPM}
		} else {
			v.Takes += ", " + name
		}
		v.Parts = append(v.Parts, figure.Sprintf("%s–%s: %s, %s; its clock is %+.2f ppm off; the waves agree at %d of %d places, within %.3f ms",
			dailies.Clock(p.FromS(c.Recording)), dailies.Clock(p.ToS(c.Recording)), name, lies(at), p.Fit.PPM, p.Fit.Agreeing, p.Fit.Places, 1000*p.Fit.SpreadS))
		for _, j := range p.Fit.Jumps {
			v.Lost = append(v.Lost, c.Lost(j))
		}
		v.Take = append(v.Take, sentences(p.Take.Findings)...)
	}
}

// lies says where the clip begins in the take.
func lies(atS float64) string {
	if atS < 0 {
		return figure.Sprintf("which began %.4f s after the clip", -atS)
	}
	return figure.Sprintf("which had run for %.4f s when the clip began", atS)
}

func (v *clipView) heard(c dailies.Clip, mended bool) {
	if c.Heard == nil {
		return
	}
	v.Moves = cell{figure.Sprintf("%.1f dB", c.Heard.MovesDB), c.Heard.MovesDB}
	v.Bad = cell{figure.Sprintf("%.1f s", c.Heard.BadS), c.Heard.BadS}
	for _, s := range c.Heard.Stretches {
		v.Stretches = append(v.Stretches, c.Told(s, mended))
	}
}

func sentences(findings []verdict.Finding) (all []string) {
	for _, f := range findings {
		all = append(all, plain.Text(f.Message))
	}
	return all
}

// The picture's size, in units of its own, and the range of its scale.
const (
	width   = 640.0
	height  = 110.0
	lowDBFS = -72.0
	steps   = 160
)

// levels draws the level of both over time, and marks what was bad.
func (r Report) levels(c dailies.Clip) template.HTML {
	l := c.Levels(r.Keep, steps)
	p := picture.New("Levels of the camera's sound and of the take over time", width, height, 0, lowDBFS)
	p.Scale(24)
	step := 1.0 / steps
	p.Area("peak", l.Camera, step)
	p.Line("rms", l.Take, step)
	if c.Heard != nil {
		for _, s := range c.Heard.Stretches {
			p.Mark("marker", float64(s.From)/float64(c.RateHz)/math.Max(c.LengthS(), 1e-9), "")
		}
	}
	p.Text(0, false, "0:00")
	p.Text(1, true, dailies.Clock(c.LengthS()))
	return p.HTML()
}
