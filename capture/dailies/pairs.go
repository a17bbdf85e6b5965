package dailies

import (
	"cmp"
	"path/filepath"
	"slices"
)

// Pairs is what is kept for the list of takes: which clips lie over each.
type Pairs struct {
	Takes map[string][]Pair `json:"takes"` // by the take's full path
}

// Pair is a clip over a take. A plain value.
type Pair struct {
	Clip    string  `json:"clip"`    // full path
	LaterS  float64 `json:"later_s"` // how much later the clip's sound began than the take
	PPM     float64 `json:"clock_ppm"`
	Channel int     `json:"channel"` // of the clip's sound, from 0
	FromS   float64 `json:"from_s"`  // what they share, in seconds of the clip's sound
	ToS     float64 `json:"to_s"`
	GainDB  float64 `json:"gain_db"` // how much louder the clip is
}

// pairsKey names what is kept of all takes.
const pairsKey = "takes"

// KeepPairs notes the day for the list of takes; what is known of other days'
// takes stays.
func (d Day) KeepPairs(keep string) error {
	s, err := newShelf(keep)
	if err != nil {
		return err
	}
	all := LoadPairs(keep)
	for _, t := range d.Takes {
		delete(all.Takes, full(t.Path))
	}
	for _, c := range d.Clips {
		for _, p := range c.Parts {
			pair := Pair{Clip: full(c.Path), LaterS: p.Fit.OffsetS, PPM: p.Fit.PPM, Channel: c.Channel, FromS: p.Fit.FromS, ToS: p.Fit.ToS}
			if c.Heard != nil {
				pair.GainDB = c.Heard.GainDB
			}
			all.Takes[full(p.Take.Path)] = append(all.Takes[full(p.Take.Path)], pair)
		}
	}
	for _, pairs := range all.Takes {
		slices.SortFunc(pairs, func(a, b Pair) int { return cmp.Compare(a.LaterS, b.LaterS) })
	}
	return s.save(pairsKey, "pairs", all)
}

// LoadPairs reads what is known; nothing where no card was read yet.
func LoadPairs(keep string) Pairs {
	var all Pairs
	if !(shelf{keep}).load(pairsKey, "pairs", &all) || all.Takes == nil {
		all.Takes = map[string][]Pair{}
	}
	return all
}

// Of are the clips over a take.
func (p Pairs) Of(take string) []Pair { return p.Takes[full(take)] }

func full(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		return abs
	}
	return path
}
