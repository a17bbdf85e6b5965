package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/dsp/chain"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// playing is a take that stands in for the input.
type playing struct {
	take    take.Take
	raw     bool   // its input tracks through the chain, else as recorded
	backTo  string // input to go back to, as Switch takes it
	pick    string // its channels
	leaving bool   // on the way back
	retry   int    // frame from which the way back may be tried again
}

type playingMsg struct {
	on  *playing // nil: back at the input
	err error
}

// playTake plays a take in place of the input: as it was recorded, the chain
// bypassed, or what came from the microphone through the chain as it is now.
func (d *Desk) playTake(t take.Take, raw bool) tea.Cmd {
	kind := "processed"
	if raw {
		kind = "input"
	}
	pick := channelsNamed(t.Tracks, kind)
	switch {
	case d.Rec.Rolling:
		d.Say("A take is rolling: it records the microphone, so nothing is played back")
		return nil
	case pick == "":
		d.Say(t.Title() + " has no " + kind + " tracks")
		return nil
	}
	on := &playing{take: t, raw: raw, backTo: d.Settings.Input, pick: d.Settings.Channels}
	if d.playing != nil { // from one take to the next
		on.backTo, on.pick = d.playing.backTo, d.playing.pick
	} else if d.Status.Kind == capture.Demo {
		on.backTo = "demo"
	}
	change := d.opt.Switch
	return func() tea.Msg { return playingMsg{on, change("file:"+t.Path, pick)} }
}

// channelsNamed picks the tracks whose names begin so, "" if there are none.
func channelsNamed(tracks []string, kind string) string {
	var picks []string
	for i, name := range tracks {
		if strings.HasPrefix(name, kind) && len(picks) < 2 {
			picks = append(picks, strconv.Itoa(i+1))
		}
	}
	return strings.Join(picks, "+")
}

// played takes the answer of a switch to a take or back.
func (d *Desk) played(m playingMsg) {
	switch {
	case m.on != nil && m.err != nil:
		d.Fail(fmt.Errorf("play back %s: %w", m.on.take.Title(), m.err))
	case m.on != nil:
		d.playing = m.on
	case m.err != nil && d.playing != nil:
		d.playing.leaving, d.playing.retry = false, d.frames+2*framesPerSecond
		d.Fail(fmt.Errorf("the input is not back: %w; choose it in Setup", m.err))
	case m.err == nil:
		d.playing = nil
		d.Say("Back at the input")
	}
	d.opt.Engine.SetChain(d.heard())
	if m.err == nil { // figures of one sound, not of two
		d.resetHolds()
	}
}

// heard is the chain that the sound goes through: none where a take is played
// as it was recorded.
func (d *Desk) heard() chain.Settings {
	if d.playing != nil && !d.playing.raw {
		return chain.Settings{}
	}
	return d.Settings.Chain
}

// back goes from a take to the input.
func (d *Desk) back() tea.Cmd {
	if d.playing == nil || d.playing.leaving {
		return nil
	}
	back := d.returning()
	return func() tea.Msg { return playingMsg{nil, back()} }
}

// returning gives what goes back to the input if a take is played.
func (d *Desk) returning() func() error {
	p, opt, set := d.playing, d.opt, d.Settings.Chain
	if p == nil {
		return func() error { return nil }
	}
	p.leaving = true
	return func() error {
		err := opt.Switch(p.backTo, p.pick)
		if err == nil {
			opt.Engine.SetChain(set)
		}
		return err
	}
}

// endPlaying goes back to the input by itself where a take is over.
func (d *Desk) endPlaying() tea.Cmd {
	if d.playing == nil || !d.Status.Ended || d.frames < d.playing.retry {
		return nil
	}
	return d.back()
}

// isPlaying tells whether a take is the one that is played.
func (d *Desk) isPlaying(t take.Take) bool { return d.playing != nil && d.playing.take.Path == t.Path }

func drawPlaying(f *Frame, row canvas.Rect, d *Desk) {
	p := d.playing
	how := "as recorded, the chain is bypassed"
	if p.raw {
		how = "its input through the chain as it is now"
	}
	style := f.Chip(theme.Demo)
	f.Fill(row, ' ', style)
	const back = "esc back to the input"
	f.TextRight(row.Inset(1, 0), back, style)
	f.TextIn(row.Inset(1, 0).Left(row.W-len(back)-4), "PLAYING "+p.take.Title()+"  "+how, style)
	f.Hit(row, Click(d.back))
}

// trackWords sums up the tracks: "processed and input, 2 channels each".
func trackWords(t take.Take) string {
	var kinds []string
	for _, name := range t.Tracks {
		kind := strings.TrimRight(name, " 0123456789")
		if !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	return strings.Join(kinds, ", ")
}
