package dailies

import (
	"math"

	"rollready/dsp/match"
)

// Levels are the levels of a clip and of its takes over time, for a picture.
type Levels struct {
	StepS  float64
	Camera []float64 // dBFS, the highest rms of each step
	Take   []float64
}

// Levels reads them from what is kept, in so many steps.
func (c Clip) Levels(keep string, steps int) (l Levels) {
	s := shelf{keep}
	l.StepS = c.LengthS() / float64(max(1, steps))
	l.Camera, l.Take = make([]float64, steps), make([]float64, steps)
	for i := range steps {
		l.Camera[i], l.Take[i] = math.Inf(-1), math.Inf(-1)
	}
	var k kept
	if s.load(c.Key, "print", &k) {
		drawn(l.Camera, l.StepS, k.Print, 0, c.LengthS(), func(atS float64) float64 { return atS - c.Picture.SoundLateS })
	}
	for _, p := range c.Parts {
		var t kept
		if s.load(p.Take.Key, "print", &t) {
			drawn(l.Take, l.StepS, t.Print, p.FromS(c.Recording), p.ToS(c.Recording), func(atS float64) float64 { return p.TakeS(c.Recording, atS) })
		}
	}
	return l
}

// drawn puts the levels of a print where they belong.
func drawn(levels []float64, stepS float64, p match.Print, fromS, toS float64, at func(atS float64) float64) {
	const hopS = 1.0 / match.HopsPerSecond
	for t := fromS; t < toS; t += hopS {
		step, hop := int(t/stepS), int(at(t)*match.HopsPerSecond)
		if step < len(levels) && hop >= 0 && hop < p.Len() {
			levels[step] = max(levels[step], p.RMSDBFS(hop))
		}
	}
}
