package main

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

// live leads a person through a check.
func (c *checking) live(ctx context.Context) (result preroll.Result, err error) {
	c.o.Input.Fallback = false // a check of the demo scene would be taken for the microphone's
	err = withRig(ctx, &c.o, rig.Listen, func(r *rig.Rig) (err error) {
		result, err = c.guide(ctx, r)
		return err
	})
	return result, err
}

func (c *checking) guide(ctx context.Context, r *rig.Rig) (preroll.Result, error) {
	g := &guiding{rig: r, screen: c.app.stderr}
	if isTerminal(c.app.stderr) && isTerminal(os.Stdin) {
		g.redraw, g.keys = true, readLines(ctx, os.Stdin)
	}
	s := r.State()
	fmt.Fprintf(g.screen, "Checking %s, %d Hz, %d channels.\n", s.Status.Source, s.Reading.RateHz, s.Reading.Channels)
	if g.redraw {
		fmt.Fprintln(g.screen, "r and enter: begin this step again · ctrl-c: leave")
	}
	if err := r.BeginCheck(); err != nil {
		return preroll.Result{}, err
	}
	for {
		result, err := g.lead(ctx)
		if err != nil || !g.redraw {
			return result, err
		}
		c.shown = true
		fmt.Fprint(g.screen, "\r\x1b[K\n")
		writeCheck(g.screen, result, &c.o)
		fmt.Fprintln(g.screen, "\nenter: done · v and enter: the voice again · r and enter: all again")
		if again, err := g.again(ctx); err != nil || !again {
			return result, err
		}
	}
}

// readLines gives what is typed, line by line.
func readLines(ctx context.Context, from io.Reader) <-chan string {
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
		return fmt.Errorf("%s delivers nothing more: connect it again and repeat the check", s.Status.Source)
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
