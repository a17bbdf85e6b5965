package main

import (
	"context"
	"fmt"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig"
	"rollready/capture/rig/guided"
	"rollready/dsp/preroll"
)

// file checks a recording, or the beginning of the demo scene.
func (c *checking) file(ctx context.Context, room, voice guided.Span) (preroll.Result, error) {
	if c.input.Choice == rig.DemoInput {
		return guided.Recorded(ctx, "demo scene", guided.Demo(), c.input.Pick, c.setup, room, voice)
	}
	file, err := recording.Open(ctx, c.input.Path())
	if err != nil {
		return preroll.Result{}, err
	}
	defer file.Close()
	name := filepath.Base(c.input.Path())
	if err := c.choose(file, name); err != nil {
		return preroll.Result{}, err
	}
	return guided.Recorded(ctx, name, file, c.input.Pick, c.setup, room, voice)
}

// choose takes the raw tracks of a take, and of other recordings with more than
// two channels none unasked: they are no pair.
func (c *checking) choose(r recording.Reader, name string) error {
	if c.input.Pick != capture.Auto {
		return nil
	}
	choice, err := offline.Choose(r, "")
	if err == nil && len(choice.Picks) > 1 {
		err = fmt.Errorf("%s has %d channels: say which hold the voice, as in --channels 3 or --channels 1+2", name, r.Format().Channels)
	}
	if err != nil {
		return err
	}
	if c.input.Pick = choice.Picks[0]; c.input.Pick != capture.Auto {
		fmt.Fprintln(c.app.stderr, "rollready: checks", choice.Words)
	}
	return nil
}
