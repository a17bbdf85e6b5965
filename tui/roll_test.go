package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"rollready/tui/desk"
	"rollready/tui/widget"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"

	"rollready/capture/take"
	"rollready/dsp/chain"
)

// recording is a program whose recorder and switches the test sees.
type recording struct {
	*root
	rec      *fakeRecorder
	engine   *fakeEngine
	switched []string
	fail     error // of the switches
}

func record(t *testing.T, screen string) *recording {
	p := &recording{}
	p.root = still(t, func(e *fakeEngine, o *Options) {
		p.engine, p.rec = e, o.parts.Recorder.(*fakeRecorder)
		p.rec.takes = someTakes()
		o.parts.Settings.Screen, o.parts.Settings.Input, o.parts.Settings.Channels = screen, "usb", "1"
		o.parts.Switch = func(input, channels string) error {
			if p.fail == nil {
				p.switched = append(p.switched, input+" "+channels)
			}
			return p.fail
		}
	}, 100, 30)
	return p
}

// frames lets time pass.
func (p *recording) frames(n int) {
	for range n {
		_, cmd := p.Update(desk.TickMsg{})
		settle(p.root, cmd)
	}
}

func (p *recording) quits(key string) bool {
	m, ok := named[key]
	if name, control := strings.CutPrefix(key, "ctrl+"); control {
		m, ok = tea.KeyPressMsg{Code: rune(name[0]), Mod: tea.ModCtrl}, true
	}
	if !ok {
		m = letter(rune(key[0]))
	}
	_, cmd := p.Update(m)
	for cmd != nil {
		switch m := cmd().(type) {
		case tea.QuitMsg, tea.SuspendMsg:
			return true
		case nil:
			return false
		case tea.BatchMsg:
			cmd = nil
			for _, c := range m {
				if _, quit := c().(tea.QuitMsg); quit {
					return true
				}
			}
		default:
			_, cmd = p.Update(m)
		}
	}
	return false
}

func TestTheKeyRollsAndStopsOnEveryScreen(t *testing.T) {
	for _, screen := range []string{monitorName, presetsName, takesName, setupName, reminderName} {
		p := record(t, screen)
		press(p.root, "ctrl+r")
		require.True(t, p.rec.Status().Rolling, screen)
		shows(t, p.root, "REC  12A take 5")
		p.frames(widget.HeldDown + 1)
		press(p.root, "ctrl+r")
		shows(t, p.root, "Stop 12A take 5?")
		require.True(t, p.rec.Status().Rolling)
		p.frames(widget.HeldDown + 1)
		press(p.root, "ctrl+r")
		require.False(t, p.rec.Status().Rolling, screen)
		shows(t, p.root, "Recorded 12A take 5")
	}
}

// Neither a key that is held, nor any other key, nor time stops a take.
func TestATakeIsNotStoppedByAccident(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+r")
	for range 100 { // held down: repeated 30 times a second
		press(p.root, "ctrl+r")
	}
	require.True(t, p.rec.Status().Rolling)
	for _, key := range []string{"esc", "space", "s", "x", "M", "6", ";", "up"} {
		p.frames(widget.AskFor + widget.HeldDown)
		press(p.root, "ctrl+r")
		shows(t, p.root, "Stop 12A take 5?")
		press(p.root, key, "enter")
		press(p.root, "esc")
		require.True(t, p.rec.Status().Rolling, key)
	}
	p.frames(widget.HeldDown)
	press(p.root, "ctrl+r")
	p.frames(widget.AskFor + 2)
	press(p.root, "enter")
	require.True(t, p.rec.Status().Rolling, "the question is gone")
}

func TestQuittingAsksWhileATakeRolls(t *testing.T) {
	for _, key := range []string{"q", "ctrl+c"} {
		p := record(t, monitorName)
		press(p.root, "ctrl+r")
		require.False(t, p.quits(key))
		shows(t, p.root, "12A take 5 is rolling.   enter stops it and quits")
		press(p.root, "esc")
		require.False(t, p.quits("ctrl+z"), "suspending would stop the recorder")
		require.False(t, p.quits(key))
		require.True(t, p.quits("enter"))
		require.False(t, p.rec.Status().Rolling)
		require.True(t, p.quits(key), "nothing rolls any more")
	}
}

// A take that can't be ended properly does not end the program.
func TestATakeThatCannotBeSavedKeepsTheProgram(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+r")
	p.rec.fails = errors.New("disk pulled out")
	require.False(t, p.quits("q"))
	require.False(t, p.quits("enter"))
	p.frames(1)
	shows(t, p.root, "disk pulled out")
}

func TestMarkerSlateAndNoteWhileRolling(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+t")
	shows(t, p.root, "needs a rolling take")
	press(p.root, "m")
	require.Nil(t, p.desk.Prompt, "no marker without a take")
	press(p.root, "ctrl+r")
	p.rec.status.Take.Frames = 480000
	press(p.root, "m")
	p.rec.status.Take.Frames = 960000
	press(p.root, "door", "enter", "m", "enter")
	require.Equal(t, []take.Marker{{Frame: 480000, Text: "door"}, {Frame: 960000, Text: "marker"}}, p.rec.Status().Take.Markers)
	press(p.root, "ctrl+t")
	require.Equal(t, 1, p.rec.slates)
	press(p.root, tab(p.root, takesName), "e", "m and n", "enter")
	require.Equal(t, "m and n", p.rec.Status().Take.Note)
}

func TestRollingWhileTyping(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "enter", "12")
	press(p.root, "ctrl+r")
	require.True(t, p.rec.Status().Rolling)
	press(p.root, "enter")
	require.NotNil(t, p.desk.Prompt, "what was typed is not lost")
	press(p.root, "ctrl+g", "enter")
	require.Equal(t, 12.0, chainOf(p.root).GainDB)
}

// One key pressed by accident must not be heard in the take: gain and filters
// are locked while it rolls, one key unlocks them for this take.
func TestGainIsLockedWhileATakeRolls(t *testing.T) {
	p := record(t, monitorName)
	before := chainOf(p.root).GainDB
	press(p.root, "g", "up")
	require.NotEqual(t, before, chainOf(p.root).GainDB)
	before = chainOf(p.root).GainDB
	press(p.root, "ctrl+r")
	press(p.root, "up", "pgup")
	require.Equal(t, before, chainOf(p.root).GainDB)
	shows(t, p.root, "ctrl-g unlocks")
	press(p.root, tab(p.root, presetsName), "home", "enter")
	require.Equal(t, before, chainOf(p.root).GainDB, "a preset would change it too")
	press(p.root, tab(p.root, monitorName), "ctrl+g", "up")
	require.Greater(t, chainOf(p.root).GainDB, before)
	before = chainOf(p.root).GainDB
	press(p.root, "ctrl+g", "up")
	require.Equal(t, before, chainOf(p.root).GainDB, "locked again")
	p.rec.endAlone(nil)
	p.frames(2)
	press(p.root, "up")
	require.Greater(t, chainOf(p.root).GainDB, before)
}

// TestOnlyTheWordStops: on the row of the take each word does its own.
func TestOnlyTheWordStops(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+r")
	x, y := find(t, p.root, "REC")
	grab(p.root, x, y)
	require.Nil(t, p.desk.Question)
	x, _ = find(t, p.root, "m marker")
	grab(p.root, x, y)
	require.NotNil(t, p.desk.Prompt)
	press(p.root, "esc")
	x, _ = find(t, p.root, "ctrl-r stop")
	grab(p.root, x, y)
	require.NotNil(t, p.desk.Question)
}

func TestRoomToneEndsByItself(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+o")
	shows(t, p.root, "12A room tone 5  0:00 of 0:30")
	p.rec.endAlone(nil)
	p.frames(2)
	shows(t, p.root, "Recorded 12A room tone 5")
}

func TestATakeThatBreaksOffCannotBeMissed(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+r")
	p.rec.endAlone(errors.New("recording stopped: disk full; 12:41 saved"))
	p.frames(20 * widget.FramesPerSecond)
	shows(t, p.root, "NOT RECORDING  disk full; 12:41 saved")
	press(p.root, "esc")
	require.NotContains(t, look(p.root), "NOT RECORDING")
	p.rec.fails = errors.New("no folder")
	press(p.root, "ctrl+r")
	shows(t, p.root, "NOT ROLLING: no folder")
}

func TestMendedTakesAreTold(t *testing.T) {
	r := still(t, func(_ *fakeEngine, o *Options) {
		o.parts.Recorder.(*fakeRecorder).mended = []take.Recovered{{Path: "/x/1_002.wav", Outcome: take.MendedIt}}
	}, 100, 30)
	shows(t, r, "1_002.wav was cut short: mended, see Takes")
}

func TestPlayingATakeAndBack(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "enter")
	require.Equal(t, []string{"file:/media/card/Takes/12A_003.wav 1+2"}, p.switched)
	require.Equal(t, chain.Settings{}, chainOf(p.root), "as recorded")
	shows(t, p.root, "PLAYING 12A take 3")
	press(p.root, "d")
	require.Len(t, p.rec.takes, 4, "not deleted while it plays")
	press(p.root, "1", "up", "esc")
	require.Equal(t, "usb 1", p.switched[1])
	require.Equal(t, 3.5, chainOf(p.root).GainDB)

	press(p.root, tab(p.root, takesName), "i")
	require.Equal(t, "file:/media/card/Takes/12A_003.wav 3+4", p.switched[2])
	require.Equal(t, 3.5, chainOf(p.root).GainDB, "through the chain")
	p.engine.status.Ended = true
	p.fail = errors.New("unplugged")
	p.frames(1)
	shows(t, p.root, "the input is not back: unplugged")
	p.fail = nil
	p.frames(2*widget.FramesPerSecond + 1)
	require.Equal(t, "usb 1", p.switched[3], "by itself at the end")
	require.Nil(t, p.desk.Playing)
	require.Equal(t, "usb", p.desk.Settings.Input, "what is kept is the microphone")
}

// What rolls is the microphone, never a take that is played.
func TestRollingWhileATakePlays(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "enter")
	p.fail = errors.New("unplugged")
	press(p.root, "ctrl+r")
	require.False(t, p.rec.Status().Rolling)
	shows(t, p.root, "NOT ROLLING: the input is not back: unplugged")
	p.fail = nil
	press(p.root, "ctrl+r")
	require.Equal(t, "usb 1", p.switched[1])
	require.True(t, p.rec.Status().Rolling)
	require.Equal(t, 3.0, chainOf(p.root).GainDB)
	press(p.root, "down", "enter")
	require.Len(t, p.switched, 2, "no play back while rolling")
}

func TestTheRecRowLivesOnlyWithTheSound(t *testing.T) {
	p := record(t, monitorName)
	press(p.root, "ctrl+r")
	p.rec.status.Elapsed = 61 * time.Second
	p.frames(1)
	shows(t, p.root, "○ REC  12A take 5  1:01")
	p.rec.status.Elapsed = 62 * time.Second
	p.frames(1)
	shows(t, p.root, "● REC  12A take 5  1:02")
}
