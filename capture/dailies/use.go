package dailies

import (
	"math"
	"slices"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/mend"
)

// Use is which sound to lie under a clip.
type Use string

// The sounds.
const (
	UseTake   Use = "take"
	UseCamera Use = "camera"
	UseMended Use = "camera, mended"
	UseBoth   Use = "take where it runs, camera elsewhere"
)

const (
	wholeShare = 0.98 // of the clip is covered
	autoDB     = 5.0  // the camera's level moves by itself by more than distance does
)

// Use tells which sound to use, and why.
func (c Clip) Use() (Use, string) {
	covered := 0.0
	takeStops := false
	for _, p := range c.Parts {
		covered += p.ToS(c.Recording) - p.FromS(c.Recording)
		takeStops = takeStops || stops(p.Take.Findings)
	}
	troubles := c.troubles()
	switch {
	case len(c.Parts) == 0:
		return UseCamera, c.Without()
	case takeStops && !stops(c.Findings) && len(troubles) == 0:
		return UseCamera, "the take has a fault, the camera's sound has none"
	case takeStops && len(c.Mendable()) > 0:
		return UseMended, "the take has a fault elsewhere; " + strings.Join(troubles, ", ")
	case covered < wholeShare*c.LengthS():
		return UseBoth, figure.Sprintf("the take runs for %.0f of %.0f s", covered, c.LengthS())
	case len(troubles) > 0:
		return UseTake, "the camera's sound: " + strings.Join(troubles, ", ")
	}
	return UseTake, "both are sound: the take has not been through the camera"
}

// troubles are what the camera did to the sound, in few words.
func (c Clip) troubles() (all []string) {
	if c.Heard == nil {
		return nil
	}
	seconds := map[mend.Fault]float64{}
	for _, s := range c.Heard.Stretches {
		for _, f := range s.Faults {
			seconds[f] += float64(s.To-s.From) / float64(c.RateHz)
		}
	}
	for _, f := range []mend.Fault{mend.Clipped, mend.BrokenUp, mend.LostTime, mend.AutoLevel} {
		if s := seconds[f]; s > 0 {
			all = append(all, figure.Sprintf("%s for %.1f s", string(f), s))
		}
	}
	if c.Heard.MovesDB >= autoDB && seconds[mend.AutoLevel] == 0 {
		all = append(all, figure.Sprintf("its level moves by %.0f dB", c.Heard.MovesDB))
	}
	if c.Heard.Inverted {
		all = append(all, "polarity turned")
	}
	return all
}

// Told says a stretch in words: from – to, what was wrong, what was done.
func (c Clip) Told(s mend.Stretch, mended bool) string {
	var what []string
	for _, f := range s.Faults {
		what = append(what, string(f))
	}
	if math.Abs(s.MovedDB) >= 1 {
		what = append(what, figure.Sprintf("%+.0f dB off", s.MovedDB))
	}
	text := Clock(float64(s.From)/float64(c.RateHz)) + "–" + Clock(float64(s.To)/float64(c.RateHz)) + ": " + strings.Join(what, ", ")
	can := slices.ContainsFunc(c.Mendable(), func(m mend.Stretch) bool { return m.From == s.From })
	switch {
	case s.TakeBad:
		return text + "; the take is no better there: left as it is"
	case can && mended:
		return text + "; taken from the take"
	case can:
		return text + "; the take is clean there"
	}
	return text + "; the whole take serves better"
}
