package page

import (
	"fmt"
	"html/template"
	"math"
	"path/filepath"

	"rollready/capture/picture"
	"rollready/capture/survey"
	"rollready/dsp/verdict"
)

// size is the size of a picture, in units of its own.
type size struct {
	width, height float64
	points        int // of a line over time, at most
	times, hertz  int // one figure on the scale: per so many parts, per so many bands
}

var (
	roomy  = size{width: 760, height: 170, points: 700, times: 6, hertz: 2}
	narrow = size{width: 380, height: 140, points: 350, times: 3, hertz: 4}
	small  = size{width: 300, height: 110, points: 250, times: 2, hertz: 6}
)

const (
	lowestLevel, levelStep = -72.0, 12.0
	lowestBand, bandStep   = -120.0, 24.0
)

// pictures are the same picture for wide and for narrow paper or screens.
type pictures struct{ Roomy, Narrow template.HTML }

func both(draw func(size) template.HTML) pictures { return pictures{draw(roomy), draw(narrow)} }

// levelPicture draws peak and loudness over time, and marks what was found.
func levelPicture(r survey.Result, s size) template.HTML {
	c := picture.New("Level and loudness over time of "+filepath.Base(r.Path), s.width, s.height, 0, lowestLevel)
	length := float64(r.DurationS)
	peaks, step := thinned(r.Trace.PeakDBFS, r.Trace.StepSeconds/length, s.points)
	c.Area("peak", peaks, step)
	loud, step := thinned(r.Trace.ShortTermLUFS, r.Trace.StepSeconds/length, s.points)
	c.Line("loud", loud, step)
	c.Scale(levelStep)
	marks(c, r.Events, length, s)
	for n := range s.times + 1 {
		at := float64(n) / float64(s.times)
		c.Text(at, n == s.times, clock(length*at))
	}
	return c.HTML()
}

var markWords = map[verdict.Code]string{verdict.InputClipped: "clipped", verdict.OutputClipped: "clipped", verdict.FlatTopped: "flat", verdict.Dropouts: "hole", verdict.NotFinite: "not finite"}

// marks draws the places of faults, those that would lie on each other once,
// and names the first of each kind.
func marks(c *picture.Chart, events []survey.Event, seconds float64, s size) {
	named, last := map[verdict.Code]bool{}, map[verdict.Code]float64{}
	for _, e := range events {
		x := c.X(e.Seconds / seconds)
		if before, ok := last[e.Code]; ok && math.Abs(x-before) < 3 {
			continue
		}
		word := markWords[e.Code]
		if named[e.Code] || s == small {
			word = ""
		}
		c.Mark("marker", e.Seconds/seconds, word)
		named[e.Code], last[e.Code] = true, x
	}
}

// thinned takes together levels, the highest of each few, so that there are at
// most so many.
func thinned(levels []float64, step float64, most int) ([]float64, float64) {
	each := (len(levels) + most - 1) / most
	if each < 2 {
		return levels, step
	}
	var few []float64
	for at := 0; at < len(levels); at += each {
		top := math.Inf(-1)
		for _, level := range levels[at:min(at+each, len(levels))] {
			top = max(top, level)
		}
		few = append(few, top)
	}
	return few, step * float64(each)
}

// bandPicture draws the mean of each band, its maximum and its room tone, and
// marks where mains hum lies.
func bandPicture(r survey.Result, s size) template.HTML {
	c := picture.New("Bands of "+filepath.Base(r.Path), s.width, s.height, 0, lowestBand)
	hertz, means, tops, rooms := columns(r.Bands)
	step := 1 / float64(max(1, len(hertz)))
	c.Bars("band", means)
	c.Line("most", tops, step)
	c.Line("room", rooms, step)
	c.Scale(bandStep)
	c.Hertz(hertz, s.hertz)
	if r.Hum.Present {
		for i, hz := range hertz {
			if math.Abs(math.Log2(hz/float64(r.Hum.MainsHz))) < 1.0/6 {
				c.Mark("marker", (float64(i)+0.5)*step, fmt.Sprintf("hum %d Hz", r.Hum.MainsHz))
				break
			}
		}
	}
	return c.HTML()
}

func columns(bands []survey.Band) (hertz, means, tops, rooms []float64) {
	for _, b := range bands {
		hertz = append(hertz, float64(b.NominalHz))
		means = append(means, float64(b.LevelDBFS))
		tops = append(tops, float64(b.MaxDBFS))
		rooms = append(rooms, float64(b.RoomToneDBFS))
	}
	return hertz, means, tops, rooms
}
