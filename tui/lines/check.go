package lines

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"rollready/capture/rig"
	"rollready/capture/rig/guided"
	"rollready/dsp/figure"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// guiding is a live check on a rig, and the person it leads.
type guiding struct {
	rig    *rig.Rig
	screen io.Writer
	redraw bool // the screen is a terminal: one line, drawn over
	keys   <-chan string
	said   string
}

// Check leads a person through a check on a rig opened with these options, and
// gives the result; shown tells that the person has seen it.
func Check(ctx context.Context, r *rig.Rig, o *rig.Options, screen io.Writer) (result preroll.Result, shown bool, err error) {
	g := &guiding{rig: r, screen: screen}
	if IsTerminal(screen) && IsTerminal(os.Stdin) {
		g.redraw, g.keys = true, Read(ctx, os.Stdin)
	}
	s := r.State()
	fmt.Fprintf(g.screen, "Checking %s, %d Hz, %d channels.\n", s.Status.Called(), s.Reading.RateHz, s.Reading.Channels)
	if g.redraw {
		fmt.Fprintln(g.screen, "r and enter: begin this step again · ctrl-c: leave")
	}
	if err := r.BeginCheck(); err != nil {
		return result, false, err
	}
	for {
		if result, err = g.lead(ctx); err != nil || !g.redraw {
			return result, shown, err
		}
		shown = true
		fmt.Fprint(g.screen, "\r\x1b[K\n")
		Checked(g.screen, result, o)
		fmt.Fprintln(g.screen, "\nenter: done · v and enter: the voice again · r and enter: all again")
		if again, err := g.again(ctx); err != nil || !again {
			return result, shown, err
		}
	}
}

// Read gives what is typed, line by line.
func Read(ctx context.Context, from io.Reader) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(from); in.Scan(); {
			select {
			case lines <- strings.TrimSpace(in.Text()):
			case <-ctx.Done():
				return
			}
		}
	}()
	return lines
}

// lead runs the guide to its end, and gives the result.
func (g *guiding) lead(ctx context.Context) (preroll.Result, error) {
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for {
		s := g.rig.State()
		if err := lost(&s); err != nil {
			return preroll.Result{}, err
		}
		if s.Check.Due {
			return g.judge()
		}
		g.show(s.Check.Progress, s.Turns())
		select {
		case <-ctx.Done():
			return preroll.Result{}, errors.New("left before the end: nothing was judged")
		case line, open := <-g.keys:
			if !open {
				g.keys = nil
			}
			if line == "r" {
				if err := g.rig.RepeatCheck(s.Check.Progress.Step); err != nil {
					return preroll.Result{}, err
				}
			}
		case <-tick.C:
		}
	}
}

func (g *guiding) judge() (preroll.Result, error) {
	if err := g.rig.Judge()(); err != nil {
		return preroll.Result{}, err
	}
	s := g.rig.State()
	if s.Status.Notice != "" {
		fmt.Fprintln(g.screen, s.Status.Notice+".")
	}
	if s.Checked == nil {
		return preroll.Result{}, errors.New("the input changed: repeat the check")
	}
	return s.Checked.Result, nil
}

// lost tells of an input that stopped delivering.
func lost(s *rig.State) error {
	switch {
	case s.Status.Ended || s.Status.Lost:
		return fmt.Errorf("%s delivers nothing more: connect it again and repeat the check", s.Status.Called())
	case s.Status.Fault != "":
		return fmt.Errorf("the check has stopped by a mistake of the program's own: %s", s.Status.Fault)
	}
	return nil
}

// show tells where the guide stands: over and over on a terminal, else once a
// step.
func (g *guiding) show(p guided.Progress, turns []verdict.Person) {
	if p.Step == preroll.Done {
		return
	}
	ask := p.Asks(turns)
	if g.redraw {
		fmt.Fprintf(g.screen, "\r\x1b[K%s  [%s] %2.0f s", ask, drawBar(p.Share), p.Left)
	} else if ask != g.said {
		fmt.Fprintln(g.screen, ask)
	}
	g.said = ask
}

// again waits for what the person wants after a result.
func (g *guiding) again(ctx context.Context) (bool, error) {
	select {
	case <-ctx.Done():
		return false, nil
	case line := <-g.keys:
		step, ok := map[string]preroll.Step{"r": preroll.Quiet, "v": preroll.Speak}[line]
		if !ok {
			return false, nil
		}
		return true, g.rig.RepeatCheck(step)
	}
}

// Checked writes the result of a check with these options for a person.
func Checked(w io.Writer, r preroll.Result, o *rig.Options) {
	fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(string(r.Verdict)), r.Verdict.Words())
	Findings(w, r.Findings)
	for _, one := range r.Strips {
		fmt.Fprintf(w, "\n%s, %s\n", o.Settings.Strips.Called(one.Strip-1), one.Verdict)
		writeHeard(w, one.Recommend, one.Voice, one.RoomTone, o, one.Strip-1)
	}
	if len(r.Strips) == 0 {
		if r.Recommend.OutputGainDB.Known() {
			fmt.Fprintln(w)
		}
		writeHeard(w, r.Recommend, r.Voice, r.RoomTone, o, o.Settings.Strip)
	}
}

// writeHeard writes what suits a voice beside what is set, and what was heard.
func writeHeard(w io.Writer, suits preroll.Recommend, voice preroll.Voice, room preroll.RoomTone, o *rig.Options, strip int) {
	if suits.OutputGainDB.Known() {
		figure.Fprintf(w, "Suits this voice here: output gain %+.1f dB, high-pass %s\n", suits.OutputGainDB, suits.HighPass.Words())
		if once := suits.Once(); once != "" {
			fmt.Fprintf(w, "                       %s\n", once)
		}
		set := o.Settings.Strips.Chain(strip)
		fmt.Fprintf(w, "Set now:               %s\n", set.Words())
		fmt.Fprintf(w, "Voice:                 peaks %s dBTP, at the camera %s dBFS; %s LUFS; %s dBA above the room\n",
			voice.PeakDBFS, figure.Figure(o.Camera.Scale.Reads(float64(voice.PeakDBFS)+voice.SummedDB)), voice.ShortTermLUFS, voice.SNRDBA)
	}
	fmt.Fprintf(w, "Room tone:             %s dBFS, %s dBA\n", room.LevelDBFS, room.LevelDBA)
}
