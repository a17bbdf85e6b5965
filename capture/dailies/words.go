package dailies

import (
	"math"
	"path/filepath"
	"strings"

	"rollready/capture/take/bwf"
	"rollready/dsp/figure"
	"rollready/dsp/match"
)

// Without says why a clip has no take.
func (c Clip) Without() string {
	switch {
	case len(c.Parts) > 0:
		return ""
	case len(c.Rivals) > 0:
		var names []string
		for _, r := range c.Rivals {
			names = append(names, filepath.Base(r))
		}
		return "fits as well in " + strings.Join(names, " and ") + ": choose by hand"
	case c.Picture.Mute:
		return "it has no sound"
	case c.Silent:
		return "hardly anything to be heard in it: nothing to find it by"
	}
	return "no take of it"
}

// Lost says what of the clip's sound is missing at a place, or too much.
func (c Clip) Lost(j match.Jump) string {
	what := "missing"
	if j.LostS < 0 {
		what = "too much"
	}
	return figure.Sprintf("%.1f ms %s at %s", 1000*math.Abs(j.LostS), what, Clock(j.AtS+c.Picture.SoundLateS))
}

// Clock is a place in a clip: 1:02:03.4.
func Clock(s float64) string { return figure.Clock(s, 1) }

// TimeReference is where the clip's sound lies, in frames from midnight.
func (c Clip) TimeReference(rateHz int) uint64 {
	return bwf.Meta{Started: c.Began()}.TimeReference(rateHz)
}
