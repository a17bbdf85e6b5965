package tui

import (
	"strings"
	"testing"
	"time"

	"rollready/capture/rig"
	"rollready/tui/format"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/rig/guided"
	"rollready/dsp"
	"rollready/dsp/filter"
	"rollready/dsp/preroll"
)

// onCheck is a program on the check screen, its check not begun.
func onCheck(t *testing.T, w, h int) (*root, *fakeCheck) {
	c := &fakeCheck{progress: guided.Progress{Progress: preroll.Progress{Left: 5}}, outcome: heardWell}
	r := still(t, func(_ *fakeEngine, o *Options) {
		o.parts.Settings.Screen, o.parts.Check = checkName, func(...int) rig.Checker { return c }
	}, w, h)
	return r, c
}

// feed lets the camera hear our output.
func feed(r *root) {
	r.opt.parts.Sound.(*fakeSound).feedCamera(at(-6))
	frame(r)
}

// Nobody is told to roll while the camera hears nothing.
func TestCheckWithoutTheCamera(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	shows(t, r, "CAUTION  see to what follows, and feed the camera")
	press(r, "a")
	shows(t, r, "READY  but the camera is not fed")
	require.NotContains(t, look(r), "you may roll")
}

func TestCheckLeadsToAVerdict(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	feed(r)
	shows(t, r, "enter begins")
	press(r, "enter")
	shows(t, r, "Stay quiet.")
	shows(t, r, "5 s left")
	c.stand(preroll.Progress{Step: preroll.Quiet, Left: 5, Trouble: preroll.Talking}, "")
	frame(r)
	shows(t, r, "someone talked or knocked")
	c.stand(preroll.Progress{Step: preroll.Speak, Share: 0.4, Left: 6}, "")
	frame(r)
	shows(t, r, "Speak as you will speak.")
	shows(t, r, "6 s left")
	c.stand(preroll.Progress{Step: preroll.Speak, Left: 10, Trouble: preroll.NobodySpoke}, "")
	frame(r)
	shows(t, r, "Nobody spoke")
	c.stand(preroll.Progress{Left: 5}, guided.Broke)
	frame(r)
	shows(t, r, "The sound broke off")
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	frame(r)
	shows(t, r, "CAUTION  you may roll, but see first to what follows")
	shows(t, r, "Speech peaks sit 4 dB under the camera's target window.")
	shows(t, r, "here → Set the output gain to +6.5 dB.")
	press(r, "v")
	require.Equal(t, []guided.Step{preroll.Speak}, c.repeated)
	shows(t, r, "10 s left")
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	frame(r)
	shows(t, r, "CAUTION")
}

// Apply sets what suits and judges with it at once; undo brings back the chain
// as it was, and so do the settings on disk.
func TestCheckIsAppliedAndUndone(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	feed(r)
	was := chainOf(r)
	press(r, "a")
	require.Equal(t, was, chainOf(r), "nothing was heard yet")
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	press(r, "a")
	want := was
	want.GainDB, want.HighPass = 6.5, filter.Cut{Hz: 75, Slope: 24}
	require.Equal(t, want, chainOf(r))
	require.Equal(t, want, r.desk.Settings.Chain())
	shows(t, r, "READY  you may roll")
	press(r, "a")
	require.Equal(t, want, chainOf(r))
	press(r, "u")
	require.Equal(t, was, chainOf(r))
	require.Equal(t, was, r.desk.Settings.Chain())
	shows(t, r, "CAUTION")
	press(r, "u")
	require.Equal(t, was, chainOf(r), "once only")
}

// Of two people each is asked for, and one key sets what suits both.
func TestCheckOfTwoPeople(t *testing.T) {
	c := &fakeCheck{progress: guided.Progress{Progress: preroll.Progress{Left: 5}}, outcome: heardTwo}
	var asked []int
	r := still(t, func(e *fakeEngine, o *Options) {
		asTwo(e, o)
		o.parts.Settings.Screen, o.parts.Check = checkName, func(who ...int) rig.Checker {
			asked = who
			return c
		}
	}, 80, 24)
	shows(t, r, "2 host speaks")
	shows(t, r, "3 guest speaks")
	press(r, "enter")
	require.Equal(t, []int{0, 1}, asked)
	for strip, who := range []string{"host", "guest"} {
		c.stand(preroll.Progress{Step: preroll.Speak, Strip: strip + 1, Share: 0.4, Left: 6}, "")
		frame(r)
		shows(t, r, "It is the turn of "+who+": speak as you will speak. The others listen.")
	}
	c.stand(preroll.Progress{Step: preroll.Speak, Strip: 2, Left: 10, Trouble: preroll.NobodySpoke}, "")
	frame(r)
	shows(t, r, "Nobody spoke. Once more: it is the turn of guest")
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	frame(r)
	shows(t, r, "guest: speech peaks sit 13 dB under the camera's target window.")
	was := r.desk.Settings.Strips
	press(r, "a")
	now := r.desk.Settings.Strips
	require.Equal(t, []float64{1.5, 16.2}, []float64{now.Strips[0].Chain.GainDB, now.Strips[1].Chain.GainDB})
	require.Equal(t, []string{"75/24", "110/24"}, []string{now.Strips[0].Chain.HighPass.String(), now.Strips[1].Chain.HighPass.String()})
	shows(t, r, "Nothing found that needs a hand.")
	press(r, "u")
	require.Equal(t, was, r.desk.Settings.Strips)
	press(r, "1", "k") // linked: what was heard was heard of two
	press(r, tab(r, checkName))
	shows(t, r, "enter begins")
}

func TestCheckLeftEnds(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	press(r, "enter", "1")
	require.True(t, c.ended)
	shows(t, r, "left before its end")
	press(r, tab(r, checkName))
	shows(t, r, "enter begins")
}

// TestMonitorDoesNotSayRollAgainstTheCheck: a level in the window is not all
// that a roll needs.
func TestMonitorDoesNotSayRollAgainstTheCheck(t *testing.T) {
	r, c := onCheck(t, 60, 18)
	r.opt.parts.Sound.(*fakeSound).feedCamera(at(-6))
	c.outcome = heardBadly
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	press(r, "1")
	require.NotContains(t, look(r), "safe to roll")
	shows(t, r, "Level is right, but the check said NOT READY: see Check.")
	c.outcome = heardWell
	press(r, tab(r, checkName), "enter")
	press(r, "1")
	shows(t, r, "safe to roll")
}

// TestDemoIsNotSafeToRoll: a built-in scene says nothing about a microphone.
func TestDemoIsNotSafeToRoll(t *testing.T) {
	r := still(t, func(e *fakeEngine, _ *Options) { e.status.Kind = capture.Demo }, 80, 24)
	shows(t, r, "In this demo speech sits in the target window.")
	require.NotContains(t, look(r), "safe to roll")
	r = still(t, func(e *fakeEngine, _ *Options) {
		e.status.Kind, e.status.Notice = capture.Demo, "No usable input. This is the demo scene until there is one."
	}, 80, 24)
	row := strings.Split(look(r), "\n")[1]
	require.Contains(t, row, "until there is one.")
	require.NotContains(t, row, "…", "words that have no room are left out")
}

// A verdict shows its age everywhere, says when settings changed since, is
// judged anew when one looks, and is forgotten with the input.
func TestVerdictAgesAndIsForgotten(t *testing.T) {
	r, c := onCheck(t, 120, 40)
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	press(r, "a", "1")
	shows(t, r, "READY  just now")
	for w := 130; w < 160; w++ { // nothing is drawn over the row's other words
		r.Update(tea.WindowSizeMsg{Width: w, Height: 40})
		frame(r)
		shows(t, r, "  check  READY  just now")
	}
	r.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	now := r.opt.parts.Now()
	r.opt.parts.Now = func() time.Time { return now.Add(4 * time.Minute) }
	frame(r)
	shows(t, r, "READY  4 min ago")
	shows(t, r, "··room")
	press(r, "up")
	shows(t, r, "READY  but changed since")
	press(r, tab(r, checkName))
	shows(t, r, "C A U T I O N")
	shows(t, r, "4 min ago")
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	e.status.Source = "Other microphone"
	e.mu.Unlock()
	frame(r)
	require.Nil(t, r.desk.Checked)
	frame(r)
	require.True(t, c.ended)
	shows(t, r, "enter begins")
	press(r, "1")
	require.NotContains(t, look(r), "··room")
}

// The room tone follows the chain where the bands are those of the output.
func TestRoomToneFollowsTheChain(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	press(r, "1")
	q := r.desk.Checked.Quiet[2]
	const band = 18 // 1 kHz: only the gain counts there
	require.InDelta(t, q[band]+3, r.desk.RoomTone(band), 0.1)
	require.Less(t, r.desk.RoomTone(2), q[2]-20, "under the high-pass")
	press(r, "i")
	require.Equal(t, dsp.TapInput, r.desk.Settings.View.BandTap)
	require.Equal(t, q[band], r.desk.RoomTone(band))
	shows(t, r, "room "+format.Figure(q[band]))
}

func TestCheckNeedsAnInput(t *testing.T) {
	r, _ := onCheck(t, 80, 24)
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	e.status.Lost = true
	e.mu.Unlock()
	frame(r)
	press(r, "enter")
	shows(t, r, "Nothing comes in")
}

// TestCheckTellsThatTheInputIsLost: nobody should go on speaking into a dead
// microphone.
func TestCheckTellsThatTheInputIsLost(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	press(r, "enter")
	c.stand(preroll.Progress{Step: preroll.Speak, Share: 0.4, Left: 6}, "")
	e := r.opt.parts.Engine.(*fakeEngine)
	e.mu.Lock()
	e.status.Lost = true
	e.mu.Unlock()
	frame(r)
	shows(t, r, "INPUT LOST: check its cable and power.")
	require.NotContains(t, look(r), "▌ Speak as you")
}

// TestHeardFitsTheSmallestScreen: every figure is there, and the room's is the
// one that is judged.
func TestHeardFitsTheSmallestScreen(t *testing.T) {
	r, c := onCheck(t, 60, 18)
	c.outcome = heardBadly
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	for _, text := range []string{"−9.0 dBTP", "−24.3 LUFS", " 14.0 dBA", "−61.2 dBFS", "−68.9 dBA", "+6.5 dB", "a applies what suits"} {
		shows(t, r, text)
	}
}

func TestManyFindingsScroll(t *testing.T) {
	r, c := onCheck(t, 80, 24)
	c.outcome = heardBadly
	c.stand(preroll.Progress{Step: preroll.Done}, "")
	press(r, "enter")
	shows(t, r, "NOT READY")
	shows(t, r, "more below")
	for range 30 {
		press(r, "down")
	}
	shows(t, r, "wind shield")
	x, y := find(t, r, "wind shield")
	roll(r, tea.MouseWheelUp, x, y)
	press(r, "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up", "up")
	shows(t, r, "The input of channel 1 overloads")
}

func TestBallisticsAreChosenAndNamed(t *testing.T) {
	r := still(t, nil, 200, 60)
	shows(t, r, "bars digital peak")
	for _, want := range []struct {
		b    dsp.Ballistics
		name string
	}{{dsp.PPMTypeI, "quasi-peak I"}, {dsp.PPMTypeII, "quasi-peak II"}, {dsp.VU, "VU"}, {dsp.DigitalPeak, "digital peak"}} {
		press(r, "b")
		require.Equal(t, want.b, r.desk.Settings.View.Ballistics)
		shows(t, r, "bars "+want.name)
	}
}
