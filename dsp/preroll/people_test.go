package preroll_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/twovoices"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/dsp/verdict/live"
)

var hostAndGuest = []verdict.Person{{Name: "host", Strip: 1, Input: 1}, {Name: "guest", Strip: 2, Input: 2}}

const (
	host, guest = 0, 1
	nobody      = twovoices.Nobody
)

// advice gives every kind of sentence that is said live while two people talk.
func advice(t testing.TB, s twovoices.Scene, turns ...twovoices.Turn) []verdict.Finding {
	return adviceOn(scene.Interleave(s.Mics(t, turns...)...))
}

func adviceOn(frames []float32) (all []verdict.Finding) {
	meter, judge := dsp.NewMeter(twovoices.RateHz, 2, dsp.DefaultView()), live.New()
	meter.ComparePeople(true)
	for _, block := range slices.Collect(slices.Chunk(frames, 2*twovoices.RateHz/10)) {
		meter.Process(block, block, nil)
		now := judge.Judge(meter.Reading(), live.Situation{Camera: camera.Default, Fed: true, People: hostAndGuest})
		if f := now.Sentence; len(all) == 0 || !f.Same(all[len(all)-1]) {
			all = append(all, f)
		}
	}
	return all
}

// check leads two people through a check.
func check(t testing.TB, s twovoices.Scene) preroll.Result {
	g := preroll.NewGuide(twovoices.RateHz, 2, host, guest)
	feed := func(turns ...twovoices.Turn) {
		scene.InBlocks(scene.Interleave(s.Mics(t, turns...)...), 2, g.Process)
	}
	feed(twovoices.Turn{Who: nobody, Seconds: 5}, twovoices.Turn{Who: host, Seconds: 11.5}, twovoices.Turn{Who: guest, Seconds: 10}) // the host does not end in time
	require.Equal(t, preroll.Done, g.Progress().Step, s.Name())
	r, err := g.Result(preroll.Setup{Camera: camera.Default, People: hostAndGuest})
	require.NoError(t, err)
	return r
}

// expected is what is to be said of a scene, and what is true as well. Live
// nobody can know whose names the microphones bear, nor whether a microphone is
// dead whose noise is a preamplifier's: it asks for the person.
func expected(f twovoices.Fault) (spoken, judged verdict.Code, also []verdict.Code) {
	switch f {
	case twovoices.Quiet:
		return verdict.TooQuiet, verdict.TooQuiet, nil
	case twovoices.Clipped:
		return verdict.InputClipped, verdict.InputClipped, []verdict.Code{verdict.FlatTopped, verdict.TooHot}
	case twovoices.Dead:
		return verdict.DeadChannel, verdict.DeadChannel, []verdict.Code{verdict.Speak}
	case twovoices.Swapped:
		return verdict.SafeToRoll, verdict.Swapped, nil
	case twovoices.Inverted:
		return verdict.PolarityInverted, verdict.PolarityInverted, nil
	case twovoices.Spill:
		return verdict.Spill, verdict.Spill, nil
	}
	return verdict.SafeToRoll, "", nil
}

// grades counts scenes in which the right person was named at the end, and those
// in which anything else was said to be wrong.
type grades struct{ scenes, missed, wrong int }

func (g *grades) add(first verdict.Finding, all []verdict.Finding, want verdict.Code, who string, also []verdict.Code) (bad bool) {
	g.scenes++
	right := func(f verdict.Finding) bool {
		return f.Code == want && (f.Name == who || want == verdict.SafeToRoll || want == verdict.Swapped)
	}
	others := slices.ContainsFunc(all, func(f verdict.Finding) bool {
		ofPerson := slices.Contains(also, f.Code) && f.Name == who
		return f.Severity.Graver(verdict.Info) && !right(f) && !ofPerson
	})
	found := right(first) || want == "" && first.Code == "" || want == verdict.DeadChannel && first.Code == verdict.Speak && first.Name == who
	if !found {
		g.missed++
	}
	if others {
		g.wrong++
	}
	return !found || others
}

// gradePeople grades live advice and check; neither may miss a person or accuse
// anybody falsely.
func gradePeople(t *testing.T, scenes []twovoices.Scene) {
	type row struct{ spoken, judged grades }
	rows := map[twovoices.Fault]*row{}
	for _, s := range scenes {
		if rows[s.Fault] == nil {
			rows[s.Fault] = &row{}
		}
		who := hostAndGuest[s.Who].Name
		if s.Fault == twovoices.Inverted { // against each other: the second is asked to turn
			who = hostAndGuest[guest].Name
		}
		spoken, judged, also := expected(s.Fault)
		said := advice(t, s, twovoices.Turn{Who: nobody, Seconds: 6}, twovoices.Turn{Who: host, Seconds: 6}, twovoices.Turn{Who: guest, Seconds: 6},
			twovoices.Turn{Who: host, Seconds: 5}, twovoices.Turn{Who: guest, Seconds: 5}, twovoices.Turn{Who: host, Seconds: 3})
		if rows[s.Fault].spoken.add(said[len(said)-1], said, spoken, who, also) {
			t.Errorf("live, %s: %s", s.Name(), words(said))
		}
		result := check(t, s)
		first := verdict.Finding{}
		if len(result.Findings) > 0 {
			first = result.Findings[0]
		}
		if rows[s.Fault].judged.add(first, result.Findings, judged, who, also) {
			t.Errorf("check, %s: %s", s.Name(), words(result.Findings))
		}
	}
	all := &row{}
	t.Logf("%-12s %6s  live: missed, false  check: missed, false", "", "scenes")
	for _, f := range []twovoices.Fault{twovoices.Clean, twovoices.Quiet, twovoices.Clipped, twovoices.Dead, twovoices.Swapped, twovoices.Inverted, twovoices.Spill, "all"} {
		r := rows[f]
		if f == "all" {
			r = all
		}
		if r != nil {
			t.Logf("%-12s %6d  %12d %6d  %13d %6d", f, r.spoken.scenes, r.spoken.missed, r.spoken.wrong, r.judged.missed, r.judged.wrong)
			all.spoken.sum(r.spoken)
			all.judged.sum(r.judged)
		}
	}
}

func (g *grades) sum(o grades) {
	g.scenes, g.missed, g.wrong = g.scenes+o.scenes, g.missed+o.missed, g.wrong+o.wrong
}

func words(list []verdict.Finding) string {
	var w []string
	for _, f := range list {
		w = append(w, fmt.Sprintf("%s (%s, %s)", f.Code, f.Name, f.Severity))
	}
	return strings.Join(w, ", ")
}

// The scenes are computed: what is wrong in each, and with whose microphone, is
// known. One of each kind; all sixty in the proof.
func TestTheRightPersonIsNamed(t *testing.T) {
	var some []twovoices.Scene
	for _, s := range twovoices.Sixty() {
		if len(some) == 0 || some[len(some)-1].Fault != s.Fault {
			some = append(some, s)
		}
	}
	gradePeople(t, some)
}

// What suits each is worked out from the levels that the scene has: a voice with
// peaks so far from the middle of the window wants so much gain.
func TestEachGetsAGainOfTheirOwn(t *testing.T) {
	s := twovoices.Scenes(twovoices.Clean, 1)[0]
	s.PreampDB = [2]float64{-20, -14}
	r := check(t, s)
	require.Len(t, r.Strips, 2)
	require.Equal(t, []string{"host", "guest"}, []string{r.Strips[0].Name, r.Strips[1].Name})
	for i, strip := range r.Strips {
		require.InDelta(t, camera.Default.Middle()-s.PreampDB[i], float64(strip.Recommend.OutputGainDB), 1)
		require.InDelta(t, s.PreampDB[i], float64(strip.Voice.PeakDBFS), 1)
		require.Equal(t, i+1, *strip.Channel)
	}
	require.Equal(t, r.Strips[0].Recommend, r.Recommend)
}

// A microphone that nobody has spoken into is asked for, not accused; one that
// carried a voice in the last minute is right.
func TestSilenceOfOneIsNoFault(t *testing.T) {
	s := twovoices.Scenes(twovoices.Clean, 1)[0]
	s.SpillDB, s.EchoDB = [2]float64{-200, -200}, -200
	said := advice(t, s, twovoices.Turn{Who: nobody, Seconds: 3}, twovoices.Turn{Who: host, Seconds: 40})
	require.Equal(t, "No voice in guest's mic yet: let guest speak.", said[len(said)-1].Text())
	said = append(said, advice(t, s, twovoices.Turn{Who: host, Seconds: 8}, twovoices.Turn{Who: guest, Seconds: 8}, twovoices.Turn{Who: host, Seconds: 50})...)
	require.Equal(t, verdict.SafeToRoll, said[len(said)-1].Code)
	for _, f := range said {
		require.False(t, f.Severity.Graver(verdict.Info), f.Text())
	}
}

// One person's soft words, which nearly drown in the noise of the other microphone,
// are not taken for another person's.
func TestALongTalkOfOneIsNoSpill(t *testing.T) {
	s := twovoices.Scenes(twovoices.Quiet, 2)[1]
	s.HissDB = -67
	said := advice(t, s, twovoices.Turn{Who: nobody, Seconds: 3}, twovoices.Turn{Who: host, Seconds: 10}, twovoices.Turn{Who: guest, Seconds: 10},
		twovoices.Turn{Who: nobody, Seconds: 10}, twovoices.Turn{Who: host, Seconds: 70})
	for _, f := range said {
		require.Contains(t, []verdict.Code{verdict.Speak, verdict.TooQuiet}, f.Code, words(said))
	}
}

// A preamplifier that is turned as it was asked for changes nothing between the
// people.
func TestATurnedPreampIsNoSpill(t *testing.T) {
	for _, s := range twovoices.Scenes(twovoices.Quiet, 2) {
		talk := []twovoices.Turn{{Who: nobody, Seconds: 2}, {Who: host, Seconds: 9}, {Who: guest, Seconds: 9}, {Who: host, Seconds: 5}, {Who: guest, Seconds: 5}}
		frames := scene.Interleave(s.Mics(t, talk...)...)
		s.PreampDB[s.Who] = -9
		said := adviceOn(append(frames, scene.Interleave(s.Mics(t, talk...)...)...))
		for _, f := range said {
			require.Contains(t, []verdict.Code{verdict.Speak, verdict.TooQuiet, verdict.SafeToRoll}, f.Code, words(said))
		}
		require.Equal(t, verdict.SafeToRoll, said[len(said)-1].Code, words(said))
	}
}

// Two people far from both microphones, or both microphones side by side.
func TestMicrophonesThatHearTheSameAreTold(t *testing.T) {
	s := twovoices.Scenes(twovoices.Clean, 1)[0]
	s.PreampDB, s.SpillDB = [2]float64{-9, -9}, [2]float64{-1, -1}
	said := advice(t, s, twovoices.Turn{Who: host, Seconds: 12}, twovoices.Turn{Who: guest, Seconds: 12})
	last := said[len(said)-1]
	require.Equal(t, "Host's mic and guest's mic hear the same: each to its own mouth.", last.Text())
}
