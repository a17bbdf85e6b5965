package live

import (
	"math"
	"slices"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/verdict"
)

// Situation is what a Reading does not tell.
type Situation struct {
	Chain      chain.Settings
	Camera     camera.Scale
	Fed        bool              // the camera gets our output
	Conditions []verdict.Finding // of the running whole, in any order
	People     []verdict.Person  // each strip is a person's: one for each, or none
}

// Judgement is what is found now. A plain value.
type Judgement struct {
	Sentence verdict.Finding   // the one thing to say
	Findings []verdict.Finding // all that is found, conditions with it, the weightiest first
	each     []Judgement       // of each person alone
	voice    verdict.Finding   // what was said of the last voice
	level    verdict.Finding   // what is found of the voice's level, said or not
}

// Zones gives every channel of a reading the zone that the sentence tells of: a
// voice at the edge of the window is judged as before, and none before it is
// judged at all.
func (j *Judgement) Zones(r *dsp.Reading) {
	for i := range j.each {
		one := r.Of(i)
		j.each[i].Zones(&one)
		if r.Zones[i] = one.Camera[0].Zone; r.Fed == len(j.each) && r.Camera[i].Zone != camera.Over {
			r.Camera[i].Zone = r.Zones[i]
		}
	}
	if len(j.each) > 0 {
		return
	}
	was := worst(r)
	zone := was
	f := &j.Sentence
	if f.Code == verdict.Speak && f.Message != verdict.NotYetJudged().Message {
		f = &j.voice // of which the sentence tells
	}
	if f.Code != verdict.Speak && !ofLevel(f) {
		f = &j.level // the sentence tells of something else
	}
	switch {
	case zone == camera.Over:
		return
	case f.Message == verdict.NotYetJudged().Message:
		zone = camera.Unjudged
	case zone == camera.Unjudged:
		return
	case f.Severity == verdict.Good:
		zone = camera.Target
	case f.Code == verdict.TooQuiet:
		zone = camera.Low
	case f.Code == verdict.TooHot && f.Place != verdict.Interface:
		zone = camera.Hot
	}
	for c := range r.Fed {
		agree(&r.Camera[c].Zone, was, zone)
	}
	for c := range r.Channels {
		agree(&r.Zones[c], was, zone)
	}
}

// agree brings the zone at one place to the one that is told, where it was the
// one judged.
func agree(at *camera.Zone, was, told camera.Zone) {
	if *at == was || told == camera.Unjudged {
		*at = told
	}
}

// worst is the highest zone of all channels.
func worst(r *dsp.Reading) (zone camera.Zone) {
	for c := range r.Fed {
		zone = camera.Higher(zone, r.Camera[c].Zone)
	}
	return zone
}

// Times of the judgement in seconds.
const (
	deadSeconds   = 3.0  // without any signal before that is said
	eventSeconds  = 8.0  // an overload is spoken of so long after it happened
	bentSeconds   = 3.0  // tops are bent over for so long before that is said
	wholeSeconds  = 8.0  // listened to before all is well: every fault is found by then
	soundSeconds  = 2.0  // of voice before what is about it is judged
	pauseSeconds  = 10.0 // the voice is judged on for so long after it was heard
	triedSeconds  = 0.5  // of voice after a change of settings
	staySeconds   = 3.0  // a sentence stays so long unless something worse comes
	settleSeconds = 1.0  // something worse must hold so long, unless it is to stop
	fadeSeconds   = 8.0  // the same words with a milder figure must hold so long
	newFigureDB   = 3    // a figure must move so far to be said anew
)

// Judge judges a stream of readings. It keeps time by their frames. One
// goroutine uses it.
type Judge struct {
	said, next           verdict.Finding
	saidSince, nextSince float64
	findings             []verdict.Finding
	events               events
	last                 verdict.Finding // on the last voice
	level                verdict.Finding // of its level, said or not
	settings             chain.Settings
	scale                camera.Scale
	changed              float64 // when these changed
	spokenThen           float64 // seconds of voice by then
	now                  float64 // seconds
	frames               int64
	heard                float64 // seconds; fewer later: it is another input
	begun                bool
	people               []*Judge // of each person alone
	compared             bool     // the first two, since they were last forgotten
}

// New makes a judge that has heard nothing.
func New() *Judge {
	j := &Judge{}
	j.Reset()
	return j
}

// Reset forgets everything, as after a change of input.
func (j *Judge) Reset() {
	*j = Judge{said: verdict.NotYetJudged(), next: verdict.NotYetJudged(), changed: math.Inf(-1)}
}

// Judge takes the newest reading and gives what is found. Readings should come
// a few times a second; the same reading twice changes nothing but conditions.
func (j *Judge) Judge(r dsp.Reading, s Situation) Judgement {
	if r.Frames < j.frames || r.Heard.Seconds < j.heard {
		j.Reset()
	}
	j.heard = r.Heard.Seconds
	if len(s.People) == 0 && r.RateHz > 0 && (r.Frames != j.frames || !j.begun) {
		j.take(&r, &s)
	}
	if len(s.People) != len(j.people) {
		j.Reset()
		for range s.People {
			j.people = append(j.people, New())
		}
	}
	if len(s.People) > 0 {
		return j.judgePeople(&r, &s)
	}
	found := append(slices.Clone(j.findings), s.Conditions...)
	verdict.Sort(found)
	j.settle(j.sentence(&r, &s, found))
	return Judgement{Sentence: j.said, Findings: found, voice: j.last, level: j.level}
}

// take brings the judge up to a reading.
func (j *Judge) take(r *dsp.Reading, s *Situation) {
	j.frames, j.now = r.Frames, float64(r.Frames)/float64(r.RateHz)
	if !j.begun {
		j.begun, j.settings, j.scale = true, s.Chain, s.Camera
		j.events.begin(r, j.now)
	}
	if s.Chain != j.settings || s.Camera != j.scale {
		j.events.change(j.now, s.Chain.GainDB-j.settings.GainDB)
		j.settings, j.scale, j.changed, j.spokenThen = s.Chain, s.Camera, j.now, r.Heard.SpokenSeconds
	}
	j.events.take(r, s, j.now)
	j.findings = j.findings[:0]
	j.findings = append(j.findings, j.events.judge(r, j.now)...)
	if len(j.findings) == 0 || j.findings[0].Code != verdict.Silence {
		j.findings = append(j.findings, judgeSound(r, s, j.said)...)
		levels := judgeLevel(r, s, &j.events, j.held())
		j.findings = append(j.findings, levels...)
		if spokenNow(r) {
			j.level = verdict.Safe()
			if len(levels) > 0 {
				j.level = levels[len(levels)-1]
			}
		}
	}
}

// ofLevel tells whether a finding says how the voice sits at the camera.
func ofLevel(f *verdict.Finding) bool {
	return f.Severity == verdict.Good || f.Code == verdict.TooQuiet || f.Code == verdict.TooHot && f.Place != verdict.Interface
}

// held is what the level goes on being judged by: what is said of it, and what
// was found of it while something else is said.
func (j *Judge) held() verdict.Finding {
	if j.said.Code == verdict.Speak || j.said.Code == verdict.TooHot || ofLevel(&j.said) || j.level.Code == "" {
		return j.said
	}
	return j.level
}

// tried tells whether somebody has spoken since the settings changed.
func (j *Judge) tried(r *dsp.Reading) bool {
	return r.Heard.SpokenSeconds-j.spokenThen >= triedSeconds || j.spokenThen == 0
}

// sentence finds the one thing to say.
func (j *Judge) sentence(r *dsp.Reading, s *Situation, found []verdict.Finding) verdict.Finding {
	if f, wrong := worthSaying(found); wrong {
		j.remember(r, f)
		return f
	}
	h := &r.Heard
	switch {
	case math.IsInf(h.PauseSeconds, 1) || h.SpokenSeconds < soundSeconds+0.5 || h.Seconds < wholeSeconds || !j.tried(r):
		return verdict.NotYetJudged()
	case h.PauseSeconds > pauseSeconds:
		return j.pause(h.PauseSeconds)
	}
	good := verdict.Safe()
	if !s.Fed {
		good = verdict.Right()
	}
	j.remember(r, good)
	return good
}

// worthSaying gives the weightiest of what is wrong.
func worthSaying(found []verdict.Finding) (f verdict.Finding, wrong bool) {
	turned := slices.ContainsFunc(found, func(f verdict.Finding) bool { return f.Code == verdict.InputVolume })
	for _, f := range found {
		atInterface := (f.Code == verdict.TooHot || f.Code == verdict.TooQuiet) && f.Place == verdict.Interface
		if f.Severity.Graver(verdict.Info) && f.Code != verdict.CameraNotFed && !(turned && atInterface) {
			return f, true
		}
	}
	return f, false
}

// remember keeps what was said of a voice that is heard.
func (j *Judge) remember(r *dsp.Reading, f verdict.Finding) {
	if r.Heard.PauseSeconds < 1 {
		j.last = f
	}
}

// pause asks for a voice, and tells how the last one was judged.
func (j *Judge) pause(seconds float64) verdict.Finding {
	if seconds > keptSeconds {
		return verdict.NotYetJudged()
	}
	return verdict.SpeakAgain(j.last, int(seconds/10)*10)
}
