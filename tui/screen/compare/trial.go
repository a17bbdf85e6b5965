package compare

import (
	"errors"
	"math"
	"strconv"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig/output"
	"rollready/dsp/compare"
	"rollready/dsp/strips"
	"rollready/tui/keys"
)

// blind is a blind trial on the screen; the zero blind is none.
type blind struct {
	trial *compare.Trial
	hears string // "A", "B" or "X"
	said  string // the score, once all rounds are answered
}

// On tells whether rounds are to be answered, and the keys mean that.
func (b *blind) On() bool { return b.trial != nil && !b.trial.Done() }

func (c *comparison) trialKeys() keys.Table {
	return keys.Table{
		{Press: "a b x", Does: "hear A, B, X", Word: "hear", Do: keys.Do(func(key string) { c.hearBlind(strings.ToUpper(key)) })},
		{Press: "left", Does: "X is A", Word: "X is A", Do: keys.Then(func() { c.answer(compare.A) })},
		{Press: "right", Does: "X is B", Word: "X is B", Do: keys.Then(func() { c.answer(compare.B) })},
		{Press: "c", Does: "capture the last 10 s as a phrase and loop it", Do: keys.Cmd(c.capture)},
		{Press: "p", Does: "phrase or live input", Do: keys.Then(c.togglePhrase)},
		{Press: "s", Does: "stop the trial; what was answered counts", Word: "stop", Do: keys.Then(c.endTrial)},
		{Shown: "mouse", Does: "press a word"},
	}
}

// alike tells that nothing can be told apart by ear: where they go to the camera
// nobody hears.
func (c *comparison) alike() bool {
	var sets [2]strips.Settings
	for s := range sets {
		sets[s] = c.sides[s].strips.Fit(max(c.desk.Status.Picked.Count, 1)).Sent()
		sets[s].Route, sets[s].Unlinked = "", false
		clear(sets[s].Strips[sets[s].Count:])
	}
	return sets[compare.A] == sets[compare.B]
}

const usualRounds = 10

func (c *comparison) askTrial() tea.Cmd {
	if c.desk.CanHear() != nil {
		c.desk.Say("A blind trial is for the ears: headphones on, and 0 lets them be heard")
		return nil
	}
	if c.alike() {
		c.desk.Say("A and B are set alike: there is nothing to tell apart")
		return nil
	}
	return c.desk.Ask("Blind trial of how many rounds?", strconv.Itoa(usualRounds), func(text string) (tea.Cmd, error) {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > compare.MaxRounds {
			return nil, errors.New("type a number from 1 to " + strconv.Itoa(compare.MaxRounds))
		}
		return nil, c.startTrial(n)
	})
}

// startTrial makes both sides equally loud first: loudness would tell them
// apart.
func (c *comparison) startTrial(rounds int) error {
	trial, err := compare.NewTrial(rounds, c.random)
	if err != nil {
		return err
	}
	if !c.desk.Settings.EqualLoudness {
		c.toggleEqual()
	}
	c.blind = blind{trial: trial}
	c.hearBlind("X")
	return nil
}

// hearBlind lets A, B or X be heard.
func (c *comparison) hearBlind(name string) {
	c.blind.hears = name
	s := compare.A
	switch name {
	case "B":
		s = compare.B
	case "X":
		s = c.blind.trial.X()
	}
	c.desk.Rig.Hear(output.Side(s))
}

// answer counts only what was heard: while nothing reaches the ears the trial
// waits.
func (c *comparison) answer(s compare.Side) {
	if err := c.desk.CanHear(); err != nil {
		c.desk.Say("Not counted. " + err.Error())
		return
	}
	c.blind.trial.Answer(s)
	if c.blind.trial.Done() {
		c.endTrial()
		return
	}
	c.hearBlind("X")
}

// endTrial shows the score and goes back to what was heard before.
func (c *comparison) endTrial() {
	t := c.blind.trial
	c.blind = blind{said: score(t)}
	c.hear(c.heard)
}

// score is the result in words. Less than 5 % by guessing is taken for a
// difference that is heard (common practice, no source).
func score(t *compare.Trial) string {
	answered, all := t.Rounds()
	if answered == 0 {
		return "Trial stopped before the first answer."
	}
	text := strconv.Itoa(t.Right()) + " of " + strconv.Itoa(answered) + " right"
	if answered < all {
		text += " (stopped)"
	}
	text += ". Guessing does as well " + percent(t.Guessing()) + " of the time: "
	if t.Guessing() < 0.05 {
		return text + "you hear the difference."
	}
	return text + "no difference shown."
}

// percent writes a probability.
func percent(p float64) string {
	switch v := 100 * p; {
	case v < 0.1:
		return "under 0.1 %"
	case v < 10:
		return strconv.FormatFloat(math.Round(v*10)/10, 'f', 1, 64) + " %"
	default:
		return strconv.FormatFloat(math.Round(v), 'f', 0, 64) + " %"
	}
}
