package preroll

import (
	"errors"
	"slices"
)

// ErrNoTurns means that no stretch was found for each of several people in which
// they speak alone.
var ErrNoTurns = errors.New("the people can't be told apart, or one of them never speaks alone for two seconds")

const (
	apartDB    = 6.0 // that the level difference of two microphones changes with who speaks
	aroundPart = partsPerSecond / 2
	mostTurn   = 30 * partsPerSecond
	leastTurn  = 2 * partsPerSecond
)

// FindTurns gives the longest quiet stretch, and for each channel of who a
// stretch in which the person speaks whose it is. It fails with ErrNoRoomTone or
// ErrNoTurns.
func (p *Parts) FindTurns(who []int) (room Range, turns []Range, err error) {
	talking, any := p.talking()
	owner, apart := p.owners(who, talking)
	if !any || !apart {
		return room, nil, ErrNoTurns
	}
	if room, err = roomIn(talking); err != nil {
		return room, nil, err
	}
	for n := range who {
		best, run := Range{}, Range{}
		for i, o := range owner {
			switch {
			case o == n && int64(i)-run.End <= joinParts && run.End > run.Start:
				run.End = int64(i) + 1
			case o == n:
				run = Range{int64(i), int64(i) + 1}
			case o >= 0: // somebody else
				run = Range{}
			}
			if run.End-run.Start > best.End-best.Start {
				best = run
			}
		}
		if best.End-best.Start < leastTurn {
			return room, nil, ErrNoTurns
		}
		turns = append(turns, p.inFrames(upTo(best, mostTurn)))
	}
	return p.inFrames(upTo(room, mostRoom)), turns, nil
}

// owners tells for each part who of several speaks, by their places in who; −1:
// nobody. Of two it is told by how the difference of their microphones changes,
// whatever the gains are; of more the loudest.
func (p *Parts) owners(who []int, talking []bool) (owner []int, apart bool) {
	border := 0.0
	if len(who) == 2 {
		var differences []float64
		for i, talks := range talking {
			if talks {
				differences = append(differences, p.each[who[0]][i]-p.each[who[1]][i])
			}
		}
		slices.Sort(differences)
		if n := len(differences); n > 0 {
			low, high := differences[n/10], differences[n*9/10]
			border, apart = (low+high)/2, high-low >= apartDB
		}
	}
	counts := make([][]int, len(who)) // of parts so far, by person
	for n := range counts {
		counts[n] = append(counts[n], 0)
	}
	for i, talks := range talking {
		loudest := 0
		for n, c := range who {
			if lift := border * float64(min(n, 1)); p.each[c][i]+lift > p.each[who[loudest]][i]+border*float64(min(loudest, 1)) {
				loudest = n
			}
		}
		for n := range counts {
			counts[n] = append(counts[n], counts[n][i])
			if talks && n == loudest {
				counts[n][i+1]++
			}
		}
	}
	for i, talks := range talking {
		of, most := -1, 0
		for n := range counts { // who speaks for most of the second around
			if k := counts[n][min(i+aroundPart, len(talking))] - counts[n][max(0, i-aroundPart)]; talks && k > most {
				of, most = n, k
			}
		}
		owner = append(owner, of)
	}
	return owner, apart || len(who) != 2
}
