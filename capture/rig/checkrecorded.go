package rig

import (
	"context"
	"fmt"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/offline"
	"rollready/capture/recording"
	"rollready/capture/rig/guided"
	"rollready/dsp/preroll"
	"rollready/dsp/strips"
	"rollready/dsp/verdict"
)

// CheckRecorded checks the file of an input, or the beginning of the demo scene,
// against settings and camera of the options: room tone and voices, one for each
// person of strips that are set apart, where they are said to be, or, where no
// voice is said, where they are found. tell is told which channels of several are
// taken.
func CheckRecorded(ctx context.Context, o Options, tell func(channels string), room guided.Span, voices ...guided.Span) (preroll.Result, error) {
	i, setup := o.Input, preroll.Setup{Chain: o.Settings.Chain(), Camera: o.Camera.Scale}
	if i.Choice == DemoInput {
		return guided.Recorded(ctx, "demo scene", guided.Demo(), i.Pick, o.people, setup, room, voices...)
	}
	file, err := recording.Open(ctx, i.Path())
	if err != nil {
		return preroll.Result{}, err
	}
	defer file.Close()
	name := filepath.Base(i.Path())
	if i.Pick == capture.Auto {
		words := ""
		if i.Pick, words, err = oneVoice(file, name); err != nil {
			return preroll.Result{}, err
		}
		if i.Pick != capture.Auto {
			tell(words)
		}
	}
	return guided.Recorded(ctx, name, file, i.Pick, o.people, setup, room, voices...)
}

// people are those of a recording, as guided.People has them.
func (o *Options) people(heard strips.Channels) (all []verdict.Person, turns []int, set strips.Settings) {
	s := State{Settings: o.Settings}
	s.Status.Picked = heard
	return People(o.Settings.Strips, heard), channels(s.Turns()), s.Settings.Strips.Fit(heard.Count)
}

// channels are those of people, from 0.
func channels(people []verdict.Person) (list []int) {
	for _, p := range people {
		list = append(list, p.Strip-1)
	}
	return list
}

// oneVoice takes the raw tracks of a take, and of other recordings with more than
// two channels none unasked: they are no pair.
func oneVoice(r recording.Reader, name string) (p capture.Pick, words string, err error) {
	choice, err := offline.Choose(r, "")
	switch {
	case err != nil:
		return p, "", err
	case len(choice.Picks) > 1:
		return p, "", fmt.Errorf("%s has %d channels: say which hold the voice, as in --channels 3 or --channels 1+2", name, r.Format().Channels)
	}
	return choice.Picks[0], choice.Words, nil
}
