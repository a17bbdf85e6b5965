package dailies

import (
	"cmp"
	"math"
	"slices"

	"rollready/dsp/match"
)

// known is what is known of a clip: where it was looked for, where it may lie,
// and what the waves said there. It is kept.
type known struct {
	Searched []string    `json:"searched"` // keys of takes
	Maybe    []candidate `json:"maybe"`
}

// candidate is a place where a clip may lie.
type candidate struct {
	Take    string    `json:"take"` // key
	OffsetS float64   `json:"offset_s"`
	Score   float64   `json:"score"`
	Pieces  []int     `json:"pieces"` // of the clip that speak for it
	Tried   bool      `json:"tried"`
	Fit     match.Fit `json:"fit"`
}

const (
	sameS    = 0.2 // hits so near each other are one
	sameRate = 400e-6
	mostKept = 60 // candidates, so that hours of the same hum cost no room
)

func (f *finder) loadKnown(c Recording) *known {
	k := &known{}
	if !f.shelf.load(c.Key, "known", k) {
		*k = known{}
	}
	return k
}

func (k *known) searched(take string) bool { return slices.Contains(k.Searched, take) }

func (k *known) allSearched(group []Recording) bool {
	return !slices.ContainsFunc(group, func(t Recording) bool { return !k.searched(t.Key) })
}

func (k *known) noteSearched(group []Recording) {
	for _, t := range group {
		if !k.searched(t.Key) {
			k.Searched = append(k.Searched, t.Key)
		}
	}
	slices.SortStableFunc(k.Maybe, func(a, b candidate) int { return cmp.Compare(b.Score, a.Score) })
	k.Maybe = k.Maybe[:min(len(k.Maybe), mostKept)]
}

// add counts a hit for the candidate that it speaks for.
func (k *known) add(take string, h match.Hit, clipS float64) {
	for i := range k.Maybe {
		c := &k.Maybe[i]
		if c.Take != take || c.Tried || math.Abs(c.OffsetS-h.LagS) > sameS+sameRate*clipS {
			continue
		}
		if !slices.Contains(c.Pieces, h.Piece) {
			c.Pieces = append(c.Pieces, h.Piece)
			c.Score += h.Z * h.Z
		}
		return
	}
	k.Maybe = append(k.Maybe, candidate{Take: take, OffsetS: h.LagS, Score: h.Z * h.Z, Pieces: []int{h.Piece}})
}

// promising gives the candidates worth comparing, the likeliest first: the
// best of all, and the best of each piece.
func (k *known) promising() []*candidate {
	var all []*candidate
	for i := range k.Maybe {
		all = append(all, &k.Maybe[i])
	}
	slices.SortStableFunc(all, func(a, b *candidate) int { return cmp.Compare(b.Score, a.Score) })
	const most, perPiece = 6, 2
	count := map[int]int{}
	return slices.DeleteFunc(all, func(c *candidate) bool {
		wanted := false
		for _, p := range c.Pieces {
			count[p]++
			wanted = wanted || count[p] <= perPiece
		}
		count[-1]++
		return !wanted && count[-1] > most
	})
}
