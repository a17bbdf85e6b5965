package presets

import (
	"errors"
	"fmt"
	"math"

	"rollready/dsp/lineup"
)

// Bounds on a line-up result: what a clip can tell, with room to spare.
const (
	maxPoints = 64
	maxAdvice = 20
	maxSaid   = 400 // letters of one piece of advice
)

// checkLineUp holds a line-up result within what the analyser can write.
func checkLineUp(r *lineup.Result) error {
	if r == nil {
		return nil
	}
	if len(r.Channels) > lineup.MaxChannels || len(r.Response) > maxPoints || len(r.Advice) > maxAdvice {
		return errors.New("the line-up has more entries than a camera can have: line up again")
	}
	words := []string{string(r.Polarity), string(r.Wiring), string(r.Clip.Kind)}
	for _, c := range r.Channels {
		words = append(words, string(c.Carries), string(c.Polarity))
	}
	return errors.Join(checkLineUpFigures(r), checkTexts(maxText, words...), checkTexts(maxSaid, r.Advice...))
}

func checkLineUpFigures(r *lineup.Result) error {
	for _, x := range []float64{float64(r.OffsetDB), r.Target.LowDBFS, r.Target.HighDBFS, r.ClockPPM, r.PadDB} {
		if math.IsNaN(x) || math.Abs(x) > 1e6 {
			return fmt.Errorf("the line-up holds %g where a figure should be: line up again", x)
		}
	}
	for _, p := range r.Response {
		if math.IsNaN(p.Hz+p.LevelDB) || math.IsInf(p.Hz+p.LevelDB, 0) {
			return fmt.Errorf("the line-up's response holds %g Hz, %g dB: line up again", p.Hz, p.LevelDB)
		}
	}
	return nil
}
