package tui

import (
	"errors"
	"strings"
	"testing"

	"rollready/capture/rig"
	"rollready/dsp/strips"
	"rollready/tui/desk"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/capture/rig/output"
	"rollready/dsp/chain"
	"rollready/dsp/compare"
	"rollready/dsp/filter"
	"rollready/presets"
)

// comparing is the program on the comparison, with headphones.
func comparing(t *testing.T) (*root, *fakeSound) {
	t.Helper()
	var sound *fakeSound
	r := still(t, func(e *fakeEngine, o *Options) {
		sound = o.parts.Sound.(*fakeSound)
		sound.plugIn()
		sound.SetMute(false)
		o.parts.Settings.Screen = comparisonName
	}, 120, 40)
	return r, sound
}

func TestHearByKeyAndMouse(t *testing.T) {
	r, sound := comparing(t)
	heard := func() output.Source { return sound.ways[rig.Headphones].Source }
	require.Equal(t, output.SideA, heard())
	for key, want := range map[string]output.Source{"i": output.Input, "o": output.Output, "b": output.SideB, "a": output.SideA} {
		press(r, key)
		require.Equal(t, want, heard(), key)
	}
	for word, want := range map[string]output.Source{" input ": output.Input, " output ": output.Output} {
		x, y := find(t, r, word)
		grab(r, x+1, y)
		require.Equal(t, want, heard(), word)
	}
	x, y := find(t, r, "flat")
	grab(r, x, y)
	require.Equal(t, output.SideB, heard(), "the side's head")
}

// TestControlsTurnTheSideHeard, and never the live chain.
func TestControlsTurnTheSideHeard(t *testing.T) {
	r, sound := comparing(t)
	live := chainOf(r)
	press(r, "b", "up", "h", "s", "up")
	require.Equal(t, chain.Settings{GainDB: 0.5, HighPass: filter.Cut{Hz: 90, Slope: 6}}, sound.bench.chain(compare.B))
	require.Equal(t, live, sound.bench.chain(compare.A))
	press(r, "a", "l", "enter", "9k/18", "enter")
	require.Equal(t, filter.Cut{Hz: 9000, Slope: 18}, sound.bench.chain(compare.A).LowPass)
	require.Equal(t, live, chainOf(r))
	shows(t, r, "chain in use, changed")
	shows(t, r, "flat, changed")
	x, y := find(t, r, "◆─ +3.0 dB")
	grab(r, x, y)
	drag(r, x+10, y-5)
	drop(r, x+10, y-5)
	require.Greater(t, sound.bench.chain(compare.A).GainDB, 3.0)
	require.Equal(t, live, chainOf(r))
}

func TestSidesComeFromThePresets(t *testing.T) {
	r, sound := comparing(t)
	press(r, tab(r, presetsName), "home", "a", "down", "b", tab(r, comparisonName))
	names, err := r.opt.parts.Store.Presets.List()
	require.NoError(t, err)
	for s := range 2 {
		p, err := r.opt.parts.Store.Presets.Load(names[s])
		require.NoError(t, err)
		require.Equal(t, p.Chain(), sound.bench.chain(compare.Side(s)), names[s])
	}
	press(r, "b", "]")
	require.Equal(t, names[2], r.desk.Settings.CompareB, "the other screen knows")
	press(r, "]")
	shows(t, r, "B  chain in use")
	require.NoError(t, r.opt.parts.Keeper.Close())
	kept, err := r.opt.parts.Store.Settings()
	require.NoError(t, err)
	require.Equal(t, [2]string{names[0], ""}, [2]string{kept.CompareA, kept.CompareB})
}

// TestATurnedSideIsNotLost when another preset takes its place.
func TestATurnedSideIsNotLost(t *testing.T) {
	r, sound := comparing(t)
	press(r, "b", "up", "up", "]")
	shows(t, r, "B as it was turned is set aside; u brings it back")
	press(r, "]", "u")
	require.Equal(t, 1.0, sound.bench.chain(compare.B).GainDB)
	shows(t, r, "flat, changed")
	require.Equal(t, "flat", r.desk.Settings.CompareB)
	x, y := find(t, r, "flat, changed")
	roll(r, tea.MouseWheelDown, x, y)
	require.NotEqual(t, "flat", r.desk.Settings.CompareB)
	x, y = find(t, r, "−60 ")
	roll(r, tea.MouseWheelDown, x+3, y-1)
	shows(t, r, "B  "+r.desk.Settings.CompareB)
}

// TestPresetsThatComeLate do not undo what was turned meanwhile, on a slow
// disk; marked on the other screen, another one is put on and u brings it back.
func TestPresetsThatComeLate(t *testing.T) {
	r, sound := comparing(t)
	press(r, tab(r, monitorName))
	_, late := r.Update(letter(rune(tab(r, comparisonName)[0])))
	press(r, "b")
	press(r, "up", "up")
	settle(r, late)
	require.Equal(t, 1.0, sound.bench.chain(compare.B).GainDB)
	press(r, tab(r, presetsName), "home", "down", "b", tab(r, comparisonName))
	require.NotEqual(t, 1.0, sound.bench.chain(compare.B).GainDB)
	press(r, "u")
	require.Equal(t, 1.0, sound.bench.chain(compare.B).GainDB)
}

// While nothing reaches the ears the trial waits, and counts no answer.
func TestTrialPausesUnheard(t *testing.T) {
	r, sound := comparing(t)
	press(r, "up", "x", "enter")
	require.True(t, r.desk.Phones.Open)
	answered := func() int { return strings.Count(look(r), "●") }
	press(r, "left")
	require.Equal(t, 1, answered())
	r.Update(tea.WindowSizeMsg{Width: 60, Height: 18}) // where all of it is to be read, too
	for says, is := range map[string]func(*output.Status){
		"Headphones muted: press 0":      func(w *output.Status) { w.Muted = true },
		"Headphones lost: plug them in":  func(w *output.Status) { w.Lost = true },
		"The system mutes them: unmute ": func(w *output.Status) { w.Volume.Muted = true },
	} {
		was := sound.ways[rig.Headphones]
		sound.tell(is)
		frame(r)
		shows(t, r, "PAUSED  "+says)
		press(r, "left", "right")
		shows(t, r, " 1 of 10") // not counted
		shows(t, r, "Not counted")
		sound.ways[rig.Headphones] = was
		frame(r)
	}
	press(r, "right")
	require.Equal(t, 2, answered())
}

func TestNoTrialUnheard(t *testing.T) {
	r, sound := comparing(t)
	sound.SetMute(true)
	press(r, "up", "x")
	require.Nil(t, r.desk.Prompt)
	require.NotContains(t, look(r), "Round")
	shows(t, r, "A blind trial is for the ears")
}

// TestComparisonRunsOnlyWhileShown, and comes back as it was left.
func TestComparisonRunsOnlyWhileShown(t *testing.T) {
	r, sound := comparing(t)
	press(r, "b", "up")
	press(r, tab(r, monitorName))
	require.Nil(t, sound.bench)
	require.Equal(t, output.Output, sound.ways[rig.Headphones].Source)
	press(r, "g", "up", tab(r, comparisonName))
	require.Equal(t, output.SideB, sound.ways[rig.Headphones].Source)
	require.Equal(t, 0.5, sound.bench.chain(compare.B).GainDB, "turned by hand: stays")
	require.Equal(t, chainOf(r), sound.bench.chain(compare.A), "the chain in use: follows")
}

func TestEqualLoudnessIsKept(t *testing.T) {
	r, sound := comparing(t)
	require.True(t, sound.bench.matched)
	shows(t, r, "equal loudness, A −0.7 dB")
	press(r, "e")
	require.False(t, sound.bench.matched)
	shows(t, r, "loudness as set")
	require.NoError(t, r.opt.parts.Keeper.Close())
	kept, err := r.opt.parts.Store.Settings()
	require.NoError(t, err)
	require.False(t, kept.EqualLoudness)
}

func TestPhrase(t *testing.T) {
	r, sound := comparing(t)
	press(r, "p")
	shows(t, r, "No phrase yet")
	sound.bench.err = errors.New("no phrase yet: speak for a few seconds, then capture again")
	press(r, "c")
	shows(t, r, "speak for a few seconds")
	sound.bench.err = nil
	press(r, "c")
	shows(t, r, "phrase 9.4 s")
	r.opt.parts.Engine.(*fakeEngine).status.Lost = true
	press(r, "up")
	require.Equal(t, 7, strings.Count(look(r), "no signal"), "input, both sides and the bands are not shown as alive")
	r.opt.parts.Engine.(*fakeEngine).status.Lost = false
	press(r, "p")
	require.False(t, sound.bench.playing)
	x, y := find(t, r, " live ")
	grab(r, x+1, y)
	require.True(t, sound.bench.playing)
}

// TestBlindTrial: whoever answers what X is gets them all right; the screen
// does not give X away.
func TestBlindTrial(t *testing.T) {
	r, sound := comparing(t)
	press(r, "x", "ctrl+u", "12", "enter")
	xs := map[output.Source]bool{}
	for n := range 12 {
		x := sound.ways[rig.Headphones].Source
		xs[x] = true
		before := strings.Split(look(r), "\n")[2:]
		press(r, "a")
		require.Equal(t, output.SideA, sound.ways[rig.Headphones].Source)
		press(r, "b")
		require.Equal(t, output.SideB, sound.ways[rig.Headphones].Source)
		press(r, "up", "g", "e", "]", "x")
		require.Equal(t, x, sound.ways[rig.Headphones].Source, "X stays what it is through the round")
		require.Equal(t, before, strings.Split(look(r), "\n")[2:])
		if n == 0 {
			shows(t, r, "Round 1 of 12")
		}
		press(r, map[output.Source]string{output.SideA: "left", output.SideB: "right"}[x])
	}
	require.Len(t, xs, 2, "X was both")
	shows(t, r, "12 of 12 right. Guessing does as well under 0.1 % of the time: you hear the difference.")
	require.Equal(t, output.SideA, sound.ways[rig.Headphones].Source, "as before the trial")
}

// TestBlindScreenIsTheSameForBoth: whatever X is, every cell is alike.
func TestBlindScreenIsTheSameForBoth(t *testing.T) {
	views := map[output.Source]string{}
	for range 20 {
		r, sound := comparing(t)
		press(r, "x", "enter")
		r.desk.Message = desk.Message{}
		press(r, "x")
		views[sound.ways[rig.Headphones].Source] = look(r)
	}
	require.Len(t, views, 2)
	require.Equal(t, views[output.SideA], views[output.SideB])
}

func TestTrialCanBeStopped(t *testing.T) {
	r, _ := comparing(t)
	press(r, "x", "enter", "left", "s")
	require.Contains(t, look(r), "of 1 right (stopped)")
	press(r, "x", "enter", "s")
	shows(t, r, "stopped before the first answer")
	press(r, "x", "ctrl+u", "0", "enter")
	shows(t, r, "a number from 1 to 100")
}

func TestKeepTheWinner(t *testing.T) {
	r, _ := comparing(t)
	live := chainOf(r)
	press(r, "b", "up", "up", "k", "ctrl+u", "quay at noon", "enter")
	shows(t, r, "Kept quay at noon, now in use; u takes it back")
	p, err := r.opt.parts.Store.Presets.Load("quay at noon")
	require.NoError(t, err)
	require.Equal(t, chain.Settings{GainDB: 1}, p.Chain())
	require.Equal(t, p.Chain(), chainOf(r))
	require.Equal(t, "quay at noon", r.desk.Settings.Preset)
	shows(t, r, "B  quay at noon")
	press(r, "u")
	require.Equal(t, live, chainOf(r))
	_, err = r.opt.parts.Store.Presets.Load("quay at noon")
	require.Error(t, err)
}

// TestKeepOverAnOldOne brings the old one back.
func TestKeepOverAnOldOne(t *testing.T) {
	r, _ := comparing(t)
	old := presets.Preset{Name: "flat", Strips: strips.Of(chain.Settings{})}
	press(r, "b", "up", "k", "enter")
	shows(t, r, "There is a preset flat.   enter writes over it")
	for range widget.FramesPerSecond {
		frame(r)
	}
	press(r, "enter")
	shows(t, r, "Kept over flat")
	p, err := r.opt.parts.Store.Presets.Load("flat")
	require.NoError(t, err)
	require.Equal(t, 0.5, p.Chain().GainDB)
	press(r, "u")
	p, err = r.opt.parts.Store.Presets.Load("flat")
	require.NoError(t, err)
	require.Equal(t, old.Chain(), p.Chain())
}

// Of two microphones with controls of their own each side holds both; the
// screen says whose are turned, and a winner is kept whole.
func TestSidesHoldAllMicrophones(t *testing.T) {
	r, sound := comparing(t)
	press(r, "1", "k")
	set := r.desk.Settings.Strips
	set.Strips[0].Name, set.Strips[1].Name = "host", "guest"
	require.NoError(t, r.desk.SetStrips(set))
	press(r, "4")
	shows(t, r, "A and B are all microphones as set; the controls turn host, n the next")
	shows(t, r, "microphones in use")
	press(r, "a", "n", "up", "up")
	shows(t, r, "guest +4.0 dB")
	a := sound.bench.sides[compare.A]
	require.Equal(t, []float64{3, 4}, []float64{a.Chain(0).GainDB, a.Chain(1).GainDB})
	require.Equal(t, set, r.desk.Settings.Strips, "in use as before")
	press(r, "k", "ctrl+u", "both of us", "enter")
	shows(t, r, "Kept both of us, now in use")
	require.Equal(t, a.Strips, r.desk.Settings.Strips.Strips)
	p, err := r.opt.parts.Store.Presets.Load("both of us")
	require.NoError(t, err)
	require.Equal(t, a.Strips, p.Strips.Strips)
	press(r, "u")
	require.Equal(t, set, r.desk.Settings.Strips)
}
