package dailies

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"rollready/dsp/match"
	"rollready/presets/whole"
)

// pairsName is the file beside the takes that tells which clips lie over them.
const pairsName = ".clips.json"

// Pairs tell which clips lie over the takes of a folder, by the take's file
// name; nil where no card was read yet.
type Pairs map[string][]Pair

// Pair is a clip over a take. A plain value.
type Pair struct {
	Clip    string  `json:"clip"`    // full path
	LaterS  float64 `json:"later_s"` // how much later the clip's sound began than the take
	PPM     float64 `json:"clock_ppm"`
	Channel int     `json:"channel"` // of the clip's sound, from 0
	FromS   float64 `json:"from_s"`  // what they share, in seconds of the clip's sound
	ToS     float64 `json:"to_s"`

	Jumps []match.Jump `json:"jumps"` // where the clip's sound lost time
}

// KeepPairs notes beside the takes which clips lie over them; the takes
// themselves are not touched, and what is noted of others stays.
func (d Day) KeepPairs() error {
	folders := map[string]Pairs{}
	of := func(take string) Pairs {
		dir := filepath.Dir(take)
		if folders[dir] == nil {
			folders[dir] = LoadPairs(dir)
		}
		if folders[dir] == nil {
			folders[dir] = Pairs{}
		}
		return folders[dir]
	}
	for _, t := range d.Takes {
		of(t.Path)[filepath.Base(t.Path)] = nil
	}
	for _, c := range d.Clips {
		for _, p := range c.Parts {
			name, pairs := filepath.Base(p.Take.Path), of(p.Take.Path)
			pairs[name] = append(pairs[name], c.pair(p))
		}
	}
	var errs []error
	for dir, pairs := range folders {
		for _, list := range pairs {
			slices.SortFunc(list, func(a, b Pair) int { return cmp.Compare(a.LaterS, b.LaterS) })
		}
		raw, err := json.MarshalIndent(pairs, "", " ")
		if err == nil {
			err = whole.Write(filepath.Join(dir, pairsName), raw, 0o644)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("note the clips beside the takes: %w", err))
		}
	}
	return errors.Join(errs...)
}

func (c Clip) pair(p Part) Pair {
	pair := Pair{Clip: c.Path, LaterS: p.Fit.OffsetS, PPM: p.Fit.PPM, Channel: c.Channel, FromS: p.Fit.FromS, ToS: p.Fit.ToS}
	if full, err := filepath.Abs(c.Path); err == nil {
		pair.Clip = full
	}
	for _, part := range c.Parts {
		pair.Jumps = append(pair.Jumps, part.Fit.Jumps...)
	}
	return pair
}

// LoadPairs reads what is noted in a folder of takes, nil where nothing is.
func LoadPairs(dir string) (all Pairs) {
	raw, err := os.ReadFile(filepath.Join(dir, pairsName))
	if err != nil || json.Unmarshal(raw, &all) != nil {
		return nil
	}
	return all
}

// Of are the clips over a take, the earliest first.
func (p Pairs) Of(take string) []Pair { return p[filepath.Base(take)] }

// Words name the clips over a take: "A001.mp4, B001.mov".
func (p Pairs) Words(take string) string {
	if p == nil {
		return ""
	}
	text := ""
	for i, pair := range p.Of(take) {
		if i > 0 {
			text += ", "
		}
		text += filepath.Base(pair.Clip)
	}
	if text == "" {
		return "no clip of it on the cards that were read"
	}
	return text
}
