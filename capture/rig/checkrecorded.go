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
)

// CheckRecorded checks the file of an input, or the beginning of the demo scene:
// room tone and voice where they are said to be, or, where both spans are zero,
// where they are found. tell is told which channels of several are taken.
func CheckRecorded(ctx context.Context, i Input, setup preroll.Setup, room, voice guided.Span, tell func(channels string)) (preroll.Result, error) {
	if i.Choice == DemoInput {
		return guided.Recorded(ctx, "demo scene", guided.Demo(), i.Pick, setup, room, voice)
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
	return guided.Recorded(ctx, name, file, i.Pick, setup, room, voice)
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
