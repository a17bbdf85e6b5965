package survey

import (
	"fmt"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/softer"
	"rollready/dsp/verdict"
)

// Safety is a lower copy of the sound on the other of two channels, as the
// layout strips.Safety makes it.
type Safety struct {
	Louder  int           `json:"louder_channel"` // from 1
	Lower   int           `json:"lower_channel"`
	LowerDB figure.Figure `json:"lower_db"` // by how much
	Use     []Use         `json:"use"`      // all of the recording, one after the other
}

// Use is a part of a recording in which one channel is to be used.
type Use struct {
	Channel int           `json:"channel"` // from 1
	FromS   figure.Figure `json:"from_s"`
	ToS     figure.Figure `json:"to_s"`
	Cut     bool          `json:"cut"` // there this channel is cut as well
}

// copies looks for a lower copy.
type copies struct {
	*softer.Meter
	rateHz int
	found  *facts
}

func newCopies(rateHz int, found *facts) *copies {
	return &copies{softer.New(rateHz), rateHz, found}
}

func (c *copies) process(block []float32) { c.Process(block) }

func (c *copies) finish(r *Result) {
	f, is := c.Found()
	if !is {
		return
	}
	channel := func(at int) int { return c.found.who.Name(at).Channels[0] }
	s := &Safety{channel(f.Louder), channel(1 - f.Louder), figure.Figure(f.LowerDB), nil}
	seconds := func(frames int64) figure.Figure { return figure.Figure(float64(frames) / float64(c.rateHz)) }
	at := figure.Figure(0)
	for _, cut := range f.Cut {
		if from := seconds(cut.From); from > at {
			s.Use = append(s.Use, Use{s.Louder, at, from, false})
		}
		at = seconds(cut.To)
		s.Use = append(s.Use, Use{s.Lower, seconds(cut.From), at, cut.Both})
	}
	if at < r.DurationS {
		s.Use = append(s.Use, Use{s.Louder, at, r.DurationS, false})
	}
	r.Safety, c.found.copy = s, s
}

// shownUses is how many parts are written out.
const shownUses = 4

// words tells when the lower channel is to be used; "" for never. whole tells
// that it is cut nowhere.
func (s *Safety) words() (text string, whole bool) {
	var parts []string
	whole = true
	for _, u := range s.Use {
		if u.Channel == s.Lower {
			parts = append(parts, "from "+figure.Clock(float64(u.FromS), 2)+" to "+figure.Clock(float64(u.ToS), 2))
			whole = whole && !u.Cut
		}
	}
	if more := len(parts) - shownUses; more > 0 {
		parts = append(parts[:shownUses], fmt.Sprintf("%d times more, as --json lists", more))
	}
	return strings.Join(parts, ", "), whole
}

// copied tells of a lower copy, and that an overload is whole there.
func (f *facts) copied(found []verdict.Finding) []verdict.Finding {
	s := f.copy
	if s == nil {
		return found
	}
	use, whole := s.words()
	for i, x := range found {
		if whole && use != "" && x.Channel == s.Louder && (x.Code == verdict.InputClipped || x.Code == verdict.FlatTopped) {
			found[i] = x.Whole(verdict.On(s.Lower))
		}
	}
	return append(found, verdict.Copied(verdict.On(s.Lower), verdict.On(s.Louder), float64(s.LowerDB), use))
}
