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

	"github.com/mattn/go-isatty"

	"rollready/capture/device"
	"rollready/capture/rig/session"
	"rollready/dsp/plain"
	"rollready/dsp/preroll"
)

// guiding is a live check: a guide, fed by a session, and the person it leads.
type guiding struct {
	session *session.Session
	tap     *session.Tap
	guide   *preroll.Guide
	screen  io.Writer
	redraw  bool // the screen is a terminal: one line, drawn over
	keys    <-chan string
	said    string
	losses  int64
}

// live leads a person through a check.
func (c *checking) live(ctx context.Context) (preroll.Result, error) {
	system := device.NewSystem(nil)
	defer system.Close()
	in := c.input
	in.Fallback = false // a check of the demo scene would be taken for the microphone's
	s, err := in.OpenSession(system, session.Options{Chain: c.setup.Chain}, c.app.warn)
	if err != nil {
		return preroll.Result{}, err
	}
	defer s.Close()
	g := &guiding{session: s, tap: s.AddTap(session.InputFrames, 4), screen: c.app.stderr}
	if f, ok := c.app.stderr.(*os.File); ok && isatty.IsTerminal(f.Fd()) && isatty.IsTerminal(os.Stdin.Fd()) {
		g.redraw, g.keys = true, readLines(ctx, os.Stdin)
	}
	format := g.tap.Format()
	g.guide = preroll.NewGuide(format.RateHz, max(1, format.Channels))
	fmt.Fprintf(g.screen, "Checking %s, %d Hz, %d channels.\n", plain.Text(s.Status().Source), format.RateHz, format.Channels)
	if g.redraw {
		fmt.Fprintln(g.screen, "r and enter: begin this step again · ctrl-c: leave")
	}
	for {
		if err := g.lead(ctx); err != nil {
			return preroll.Result{}, err
		}
		if notice := s.Status().Notice; notice != "" {
			fmt.Fprintln(g.screen, plain.Text(notice)+".")
		}
		setup := c.setup
		setup.Dropouts = g.losses
		result, err := g.guide.Result(setup)
		if err != nil || !g.redraw {
			return result, err
		}
		c.shown = true
		fmt.Fprint(g.screen, "\r\x1b[K\n")
		writeCheck(g.screen, result, setup)
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

// lead runs the guide to its end.
func (g *guiding) lead(ctx context.Context) error {
	block := make([]float32, 4096*g.tap.Format().Channels)
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	for g.guide.Progress().Step != preroll.Done {
		select {
		case <-ctx.Done():
			return errors.New("left before the end: nothing was judged")
		case line, open := <-g.keys:
			if !open {
				g.keys = nil
			}
			if line == "r" {
				g.guide.Repeat(g.guide.Progress().Step)
			}
			continue
		case <-tick.C:
		}
		if err := g.lost(); err != nil {
			return err
		}
		for n := g.tap.Input.Read(block); n > 0; n = g.tap.Input.Read(block) {
			g.guide.Process(block[:n*g.tap.Format().Channels])
		}
		g.show(g.guide.Progress())
	}
	g.losses = g.tap.Gaps() + min(1, g.tap.Input.Dropped())
	return nil
}

// lost tells of an input that stopped delivering.
func (g *guiding) lost() error {
	status := g.session.Status()
	switch {
	case g.tap.Cut() || status.Ended || status.Lost:
		return fmt.Errorf("%s delivers nothing more: connect it again and repeat the check", status.Source)
	case status.Fault != "":
		return fmt.Errorf("the check has stopped by a mistake of the program's own: %s", status.Fault)
	}
	return nil
}

// show tells where the guide stands: over and over on a terminal, else once a
// step.
func (g *guiding) show(p preroll.Progress) {
	if p.Step == preroll.Done {
		return
	}
	ask := guideAsks(p)
	if g.redraw {
		const width = 30
		done := int(p.Share * width)
		fmt.Fprintf(g.screen, "\r\x1b[K%s  [%s%s] %2.0f s", ask, strings.Repeat("█", done), strings.Repeat("·", width-done), p.Left)
	} else if ask != g.said {
		fmt.Fprintln(g.screen, ask)
	}
	g.said = ask
}

func guideAsks(p preroll.Progress) string {
	why := map[preroll.Trouble]string{preroll.Talking: "That was not quiet. ", preroll.NobodySpoke: "Nobody spoke. "}[p.Trouble]
	if p.Step == preroll.Quiet {
		return why + "1 of 2: stay quiet"
	}
	return why + "2 of 2: speak as you will speak"
}

// again waits for what the person wants after a result. Frames meanwhile are
// let go.
func (g *guiding) again(ctx context.Context) (bool, error) {
	select {
	case <-ctx.Done():
		return false, nil
	case line := <-g.keys:
		step, ok := map[string]preroll.Step{"r": preroll.Quiet, "v": preroll.Speak}[line]
		if !ok {
			return false, nil
		}
		g.session.RemoveTap(g.tap)
		g.tap = g.session.AddTap(session.InputFrames, 4)
		if g.tap.Cut() {
			return false, g.lost()
		}
		g.guide.Repeat(step)
		return true, nil
	}
}
