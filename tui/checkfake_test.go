package tui

import (
	"math"
	"sync"

	"rollready/capture/rig"

	"rollready/capture/rig/guided"
	"rollready/dsp/camera"
	"rollready/dsp/filter"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// fakeCheck is a check that stands where the test puts it.
type fakeCheck struct {
	mu       sync.Mutex
	progress guided.Progress
	outcome  func(guided.Setup) guided.Outcome
	repeated []guided.Step
	ended    bool
}

func (c *fakeCheck) Progress() guided.Progress {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.progress
}

func (c *fakeCheck) stand(p preroll.Progress, n guided.Note) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.progress = guided.Progress{Progress: p, Note: n}
}

func (c *fakeCheck) Repeat(s guided.Step) {
	c.stand(preroll.Progress{Step: s, Left: 10}, "")
	c.repeated = append(c.repeated, s)
}

func (c *fakeCheck) Result(s guided.Setup) (guided.Outcome, error) { return c.outcome(s), nil }
func (c *fakeCheck) End()                                          { c.ended = true }

// heardWell is a clean voice that sits right when the gain is +6.5 dB.
func heardWell(s guided.Setup) guided.Outcome {
	o := guided.Outcome{Result: preroll.Result{
		Verdict: verdict.Ready, Findings: []verdict.Finding{},
		Recommend: preroll.Recommend{OutputGainDB: 6.5, HighPassHz: 75, HighPass: filter.Cut{Hz: 75, Slope: 24}},
		RoomTone:  preroll.RoomTone{LevelDBFS: -61.2, LevelDBA: -68.9},
		Voice:     preroll.Voice{PeakDBFS: -9, ShortTermLUFS: -24.3, SNRDB: 36.1, SNRDBA: 38.4},
	}}
	if s.Chain.GainDB != 6.5 {
		o.Verdict = verdict.Cautious
		o.Findings = []verdict.Finding{quietAtCamera(s)}
	}
	var q preroll.QuietBands
	for i := range q {
		q[i] = -58 - float64(i)*0.9 + 3*math.Sin(float64(i)*1.7)
	}
	o.Quiet = []preroll.QuietBands{q, q, q}
	return o
}

func quietAtCamera(s guided.Setup) verdict.Finding {
	f, _ := verdict.AtCamera(camera.Default, verdict.Placed{SpeechDBTP: -15.5, LoudestDBTP: -12, GainDB: s.Chain.GainDB, SuitsDB: 6.5})
	return f.With(verdict.Caution)
}

// heardBadly has much to say.
func heardBadly(s guided.Setup) guided.Outcome {
	o := heardWell(s)
	o.Verdict, o.Voice.SNRDB, o.Voice.SNRDBA = verdict.NotReady, 9.3, 14
	o.Findings = []verdict.Finding{verdict.Clipped(verdict.On(1), 12), verdict.Noisy(verdict.Caution, 14),
		verdict.MainsHum(verdict.Caution, verdict.Where{}, 50, -54, 38), quietAtCamera(s), verdict.Wind(22, 80)}
	return o
}

// heardTwo is two people who spoke in turn: the guest is too quiet.
func heardTwo(s guided.Setup) guided.Outcome {
	o := heardWell(s)
	quiet := o.Result
	o.Verdict = verdict.Cautious
	host := preroll.Strip{Strip: 1, Name: "host", Recommend: preroll.Recommend{OutputGainDB: 1.5, HighPassHz: 75, HighPass: filter.Cut{Hz: 75, Slope: 24}}, Voice: quiet.Voice, RoomTone: quiet.RoomTone}
	guest := preroll.Strip{Strip: 2, Name: "guest", Recommend: preroll.Recommend{OutputGainDB: 16.2, HighPassHz: 110, HighPass: filter.Cut{Hz: 110, Slope: 24}},
		Voice: preroll.Voice{PeakDBFS: -25.4, ShortTermLUFS: -41.6, SNRDB: 30, SNRDBA: 31.6}, RoomTone: quiet.RoomTone}
	o.Strips, o.Recommend = []preroll.Strip{host, guest}, host.Recommend
	o.Findings = nil
	if s.People[1].Chain.GainDB != 16.2 {
		placed := verdict.Placed{SpeechDBTP: -25.4, LoudestDBTP: -22, SuitsDB: 16.2}
		f, _ := verdict.AtCamera(camera.Default, placed)
		o.Findings = []verdict.Finding{f.Of(s.People[1])}
	}
	return o
}

// asTwo has two people with a microphone each.
func asTwo(_ *fakeEngine, o *Options) {
	s := &o.parts.Settings.Strips
	s.Unlinked, s.Strips[0].Name, s.Strips[1].Name = true, "host", "guest"
}

// ofTwo is a moment of a check with two people.
func ofTwo(c screenCase) screenCase {
	set := c.set
	c.set = func(e *fakeEngine, o *Options) {
		set(e, o)
		asTwo(e, o)
	}
	return c
}

// checkCase puts a program into the middle of a check, or at its end.
func checkCase(p preroll.Progress, note guided.Note, outcome func(guided.Setup) guided.Outcome) screenCase {
	return screenCase{
		set: func(_ *fakeEngine, o *Options) {
			o.parts.Settings.Screen = checkName
			o.parts.Check = func(...int) rig.Checker {
				return &fakeCheck{progress: guided.Progress{Progress: p, Note: note}, outcome: outcome}
			}
		},
		keys: []string{"enter"},
	}
}
