package live

import (
	"math"

	"rollready/dsp"
	"rollready/dsp/hearing"
	"rollready/dsp/verdict"
)

// Figures of our own (common practice, no source).
const (
	leaksSeconds    = 0.0001 // of delay: what comes so soon came over no air, but over a cable
	noConverterDBFS = -105.0 // no microphone's preamplifier has so little noise, however low it is turned
)

// judgePeople judges each person alone, what lies between them, and says the one
// thing that weighs most.
func (j *Judge) judgePeople(r *dsp.Reading, s *Situation) Judgement {
	if j.now = float64(r.Frames) / float64(max(1, r.RateHz)); !j.begun || r.Frames != j.frames {
		j.frames, j.begun = r.Frames, r.RateHz > 0
		j.findings = j.between(r, s)
	}
	now := Judgement{Findings: append(append([]verdict.Finding{}, j.findings...), s.Conditions...)}
	silent := 0
	j.changed = math.Inf(-1)
	for i, p := range s.People {
		one := inTalk(r, i)
		alone := j.people[i].Judge(one, Situation{Chain: p.Chain, Camera: s.Camera, Fed: s.Fed})
		now.each, j.changed = append(now.each, alone), max(j.changed, j.people[i].changed)
		for _, f := range alone.Findings {
			if f.Code == verdict.Silence {
				silent++
				f = verdict.DeadMic(p)
			}
			if !p.Muted && !doubtful(r, i, len(s.People), f.Code) {
				now.Findings = append(now.Findings, f.Of(p))
			}
		}
	}
	if silent == len(s.People) {
		now.Findings = append([]verdict.Finding{verdict.NothingComesIn()}, s.Conditions...)
	}
	verdict.Sort(now.Findings)
	j.settle(j.ofPeople(r, s, now.Findings))
	now.Sentence = j.said
	return now
}

// doubtful tells of findings that may come of something else. A voice that seems
// weak may be that of somebody whose own microphone is dead, as long as the other
// one hears nothing of it, and nobody else. A microphone with nearly no noise may
// be turned down low in a quiet room, as long as nobody speaks.
func doubtful(r *dsp.Reading, person, people int, c verdict.Code) bool {
	v := &r.Between.Voice
	switch c {
	case verdict.TooQuiet, verdict.NoiseHigh:
		return people == 2 && !v[1-person].Known && !(v[person].Known && !math.IsInf(v[person].SpillDB, -1))
	case verdict.DeadChannel:
		return r.Heard.SpokenSeconds < hearing.LevelSeconds && r.Input[person].RMSDBFS > noConverterDBFS
	}
	return false
}

// inTalk is the reading of one person: while others talk, the last minute of the
// person's own voice counts as if it were now.
func inTalk(r *dsp.Reading, person int) dsp.Reading {
	one := r.Of(person)
	if h := &one.Heard; h.PauseSeconds < keptSeconds {
		h.PauseSeconds = min(h.PauseSeconds, r.Heard.PauseSeconds)
	}
	return one
}

// ofPeople finds the one thing to say.
func (j *Judge) ofPeople(r *dsp.Reading, s *Situation, found []verdict.Finding) verdict.Finding {
	f, wrong := worthSaying(found)
	switch missing, all := j.unheard(r, s); {
	case wrong:
	case all:
		return verdict.NotYetJudged()
	case r.Heard.PauseSeconds > pauseSeconds:
		return j.pause(r.Heard.PauseSeconds)
	case missing != nil:
		return verdict.LetSpeak(*missing)
	case !j.compared:
		return verdict.NotYetJudged()
	default:
		if f = verdict.Safe(); !s.Fed {
			f = verdict.Right()
		}
	}
	j.remember(r, f)
	return f
}

// unheard gives the first person who has not spoken long enough in the last
// minute, and whether nobody has.
func (j *Judge) unheard(r *dsp.Reading, s *Situation) (first *verdict.Person, all bool) {
	all = true
	for i := range s.People {
		one := r.Of(i)
		switch h := &one.Heard; {
		case s.People[i].Muted:
		case j.people[i].tried(&one) && h.SpokenSeconds >= soundSeconds+0.5 && h.PauseSeconds <= keptSeconds:
			all = false
		case first == nil:
			first = &s.People[i]
		}
	}
	return first, all || r.Heard.Seconds < wholeSeconds
}

// between finds what is wrong between the first two people.
func (j *Judge) between(r *dsp.Reading, s *Situation) (found []verdict.Finding) {
	one, two, b := &s.People[0], &s.People[1], &r.Between
	j.compared = j.compared || b.Known() || len(s.People) > 2 || one.Muted || two.Muted
	if one.Muted || two.Muted {
		return nil
	}
	if b.Alike {
		return []verdict.Finding{verdict.Alike(*one, *two)}
	}
	for who, v := range b.Voice {
		from, other := &s.People[who], &s.People[1-who]
		if v.Known && !b.Known() && v.Placed && math.Abs(v.LaterS) < leaksSeconds && v.SpillDB < -verdict.CrosstalkDB {
			found = append(found, verdict.OnlyLeaks(*other, *from, -v.SpillDB))
		}
	}
	if !b.Known() {
		return found
	}
	if dip, is := b.Opposite(two.Chain.GainDB-one.Chain.GainDB, one.Inverted != two.Inverted); is && dip < verdict.ThinDB {
		found = append(found, verdict.Opposite(*two, *one))
	}
	limit := verdict.SpillDB
	if j.said.Code == verdict.Spill {
		limit += sticky
	}
	who := 0
	first, _ := b.OverLU(0)
	over, _ := b.OverLU(1)
	if who = 1; first < over {
		who, over = 0, first
	}
	if over < limit {
		found = append(found, verdict.Overheard(s.People[who], s.People[1-who], over))
	}
	return found
}
