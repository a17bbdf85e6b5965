package preroll

import (
	"cmp"
	"slices"

	"rollready/dsp/noise"
	"rollready/dsp/spill"
	"rollready/dsp/verdict"
)

// Turns are people who spoke in turn after a quiet, each into a microphone of
// their own. Frames are interleaved, of all channels.
type Turns struct {
	RateHz, Channels int
	Quiet            []float32
	Of               []Turn
}

// Turn is what was heard while it was one person's turn.
type Turn struct {
	Channel int // the person's own microphone, from 0
	Frames  []float32
}

// heardDB over the room is a voice that counts in a microphone (common practice,
// no source).
const heardDB = 6.0

// Result judges each person alone, then what is between them. It fails with
// ErrShort only. The setup has a person for every channel.
func (t *Turns) Result(setup Setup) (Result, error) {
	h := t.hear()
	found := []verdict.Finding{}
	if setup.Dropouts > 0 {
		found = append(found, verdict.Broken(verdict.Where{}, setup.Dropouts, 0))
	}
	var strips []Strip
	for i := range t.Of {
		p := h.person(i, setup)
		c := p.Strip - 1
		one, err := judgeHeard(t.RateHz, 1, Setup{Chain: p.Chain, Camera: setup.Camera, unquiet: setup.unquiet}, t.only(t.Quiet, c), t.only(t.Of[i].Frames, c))
		if err != nil {
			return Result{}, err
		}
		found = append(found, h.ofPerson(i, p, one.Findings)...)
		s := Strip{Strip: p.Strip, Name: setup.People[c].Name, Recommend: one.Recommend, RoomTone: one.RoomTone, Voice: one.Voice}
		if p.Input > 0 {
			s.Channel = &p.Input
		}
		strips = append(strips, s)
	}
	found = append(found, h.between(setup, found)...)
	verdict.Sort(found)
	for i := range strips {
		of := slices.DeleteFunc(slices.Clone(found), func(f verdict.Finding) bool { return !f.About(strips[i].Strip) })
		strips[i].Verdict = verdict.Judge(of)
	}
	slices.SortFunc(strips, func(a, b Strip) int { return cmp.Compare(a.Strip, b.Strip) })
	return Result{Verdict: verdict.Judge(found), Findings: found, Recommend: strips[0].Recommend, RoomTone: strips[0].RoomTone, Voice: strips[0].Voice, Strips: strips}, nil
}

// only gives the frames of one channel.
func (t *Turns) only(frames []float32, channel int) []float32 {
	x := make([]float32, 0, len(frames)/t.Channels)
	for i := channel; i < len(frames); i += t.Channels {
		x = append(x, frames[i])
	}
	return x
}

// hearing is how loud each voice is in each microphone.
type hearing struct {
	*Turns
	room  []float64   // dBFS, A-weighted, by channel
	voice [][]float64 // without the room, the same: by turn, then channel
	worn  []int       // channel that each speaks into
}

func (t *Turns) hear() *hearing {
	h := &hearing{Turns: t}
	quiet := noise.New(t.RateHz, t.Channels)
	quiet.Process(t.Quiet)
	for c := range t.Channels {
		h.room = append(h.room, quiet.MeanDBA(c))
	}
	for _, turn := range t.Of {
		m := noise.New(t.RateHz, t.Channels)
		m.Process(turn.Frames)
		var levels []float64
		for c := range t.Channels {
			levels = append(levels, m.VoiceDBA(c, h.room[c]))
		}
		h.voice, h.worn = append(h.voice, levels), append(h.worn, turn.Channel)
	}
	for a := range t.Of {
		for b := range a {
			if h.swapped(b, a) {
				h.worn[a], h.worn[b] = h.worn[b], h.worn[a]
			}
		}
	}
	return h
}

// hears tells whether a voice stands out of the room in a microphone.
func (h *hearing) hears(turn, channel int) bool {
	return h.voice[turn][channel] > h.room[channel]+heardDB
}

// level is that of a voice in a microphone, at least that of the room.
func (h *hearing) level(turn, channel int) float64 {
	return max(h.voice[turn][channel], h.room[channel])
}

// swapped tells that two people speak into one another's microphones: exchanged,
// their voices would be louder. What the gains are cancels out.
func (h *hearing) swapped(a, b int) bool {
	of, to := h.Of[a].Channel, h.Of[b].Channel
	gain := h.level(a, to) + h.level(b, of) - h.level(a, of) - h.level(b, to)
	return h.hears(a, to) && h.hears(b, of) && gain > 2*verdict.SwappedDB
}

// person is who spoke in a turn, with the microphone that was spoken into.
func (h *hearing) person(turn int, setup Setup) verdict.Person {
	p := setup.People[h.worn[turn]]
	p.Name = setup.People[h.Of[turn].Channel].Name
	return p
}

// ofPerson names who findings are about. Where no voice came, why is all that
// counts.
func (h *hearing) ofPerson(turn int, p verdict.Person, list []verdict.Finding) (named []verdict.Finding) {
	elsewhere := false
	for c := range h.Channels {
		elsewhere = elsewhere || c != p.Strip-1 && h.hears(turn, c)
	}
	for _, f := range list {
		switch {
		case f.Code != verdict.Silence && f.Code != verdict.NoVoice:
		case elsewhere:
			return []verdict.Finding{verdict.Unheard(p)}
		case f.Code == verdict.Silence:
			return []verdict.Finding{verdict.DeadMic(p)}
		}
		named = append(named, f.Of(p))
	}
	return named
}

// between finds what is wrong between people whose microphones do not overload.
func (h *hearing) between(setup Setup, so []verdict.Finding) (found []verdict.Finding) {
	whole := func(turn int) bool {
		strip := h.worn[turn] + 1
		return h.hears(turn, h.worn[turn]) && !slices.ContainsFunc(so, func(f verdict.Finding) bool {
			return f.Channel == strip && (f.Code == verdict.InputClipped || f.Code == verdict.FlatTopped)
		})
	}
	for a := range h.Of {
		worst, least := -1, verdict.SpillDB
		for b := range h.Of {
			if a == b {
				continue
			}
			if b < a && h.worn[a] == h.Of[b].Channel && h.worn[b] == h.Of[a].Channel {
				found = append(found, verdict.Exchanged(setup.People[h.Of[b].Channel], setup.People[h.Of[a].Channel]))
			}
			if !whole(a) || !whole(b) {
				continue
			}
			one, two := h.person(a, setup), h.person(b, setup)
			pair := h.compare(a, b)
			over, known := pair.OverLU(0)
			if !known { // their voices differ too little between the microphones
				over = h.level(a, h.worn[a]) - h.level(b, h.worn[a])
			}
			if over < least {
				worst, least = b, over
			}
			if dip, is := pair.Opposite(two.Chain.GainDB-one.Chain.GainDB, one.Inverted != two.Inverted); a < b && is && dip < verdict.ThinDB {
				found = append(found, verdict.Opposite(two, one))
			}
		}
		if worst >= 0 {
			found = append(found, verdict.Overheard(h.person(a, setup), h.person(worst, setup), least))
		}
	}
	return found
}

// compare compares the microphones of two people, the first that of a. Somebody
// who talks into the other's turn is told apart.
func (h *hearing) compare(a, b int) spill.Result {
	m := spill.New(h.RateHz)
	for _, turn := range []int{a, b} {
		x, y := h.only(h.Of[turn].Frames, h.worn[a]), h.only(h.Of[turn].Frames, h.worn[b])
		both := make([]float32, 0, 2*len(x))
		for i := range x {
			both = append(both, x[i], y[i])
		}
		m.Process(both)
	}
	return m.Result()
}
