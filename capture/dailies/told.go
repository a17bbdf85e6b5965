package dailies

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"rollready/dsp/figure"
)

// mostTold is how many stretches of a clip are told one by one.
const mostTold = 5

// Told is a day and what is written of it, or in a dry run would be.
type Told struct {
	Day
	Alone   []Recording `json:"takes_without_clip"`
	Outputs []Output    `json:"outputs"`
	dry     bool
}

// Tell gives a day as it is told.
func Tell(d Day, plan []Output, dry bool) Told {
	d = d.Listed()
	return Told{d, list(d.Alone()), list(plan), dry}
}

// Rows are a table, the first its heading: what was found of every clip. There
// is none where there are no clips.
func (t Told) Rows() [][]string {
	if len(t.Clips) == 0 {
		return nil
	}
	rows := [][]string{{"clip", "length", "take", "in the take at", "covers", "clock", "alike at", "sound file"}}
	for i, k := range t.Clips {
		name, long := filepath.Base(k.Path), Clock(k.LengthS())
		if len(k.Parts) == 0 {
			rows = append(rows, []string{name, long, "none: " + k.Without()})
		}
		for _, p := range k.Parts {
			rows = append(rows, []string{name, long, filepath.Base(p.Take.Path), figure.Sprintf("%.4f s", p.TakeS(k.Recording, 0)),
				Clock(p.FromS(k.Recording)) + "–" + Clock(p.ToS(k.Recording)), figure.Sprintf("%+.2f ppm", p.Fit.PPM),
				fmt.Sprintf("%d of %d places", p.Fit.Agreeing, p.Fit.Places), t.files(i)})
		}
	}
	return rows
}

// files names what is written for a clip.
func (t Told) files(clip int) string {
	var all []string
	for _, o := range t.Outputs {
		word := filepath.Base(o.Path)
		switch {
		case o.Clip != clip:
			continue
		case o.Done:
			word += " (there already)"
		case t.dry:
			word += " (to be written)"
		}
		all = append(all, word)
	}
	return strings.Join(all, ", ")
}

// Lines say what is bad in the cameras' sound, second by second, and which
// takes are without a clip.
func (t Told) Lines() (lines []string) {
	for i, c := range t.Clips {
		mended := slices.ContainsFunc(t.Outputs, func(o Output) bool { return o.Clip == i && o.Mended })
		for _, what := range c.told(mended && !t.dry) {
			lines = append(lines, filepath.Base(c.Path)+": "+what)
		}
	}
	for _, a := range t.Alone {
		lines = append(lines, filepath.Base(a.Path)+": a take without a clip")
	}
	return lines
}

func (c Clip) told(mended bool) (lines []string) {
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			lines = append(lines, "the camera's sound has "+c.Lost(j))
		}
	}
	if c.Heard == nil {
		return lines
	}
	for i, s := range c.Heard.Stretches {
		if left := len(c.Heard.Stretches) - i; i == mostTold && left > 1 {
			return append(lines, fmt.Sprintf("and %d stretches more: day.html tells each", left))
		}
		lines = append(lines, c.Told(s, mended))
	}
	return lines
}

// String names the file once.
func (f Failure) String() string {
	if strings.Contains(f.Err, f.Path) {
		return f.Err
	}
	return f.Path + ": " + f.Err
}
