package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/capture/rig/guided"
	"rollready/dsp/figure"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// checkFlags are those of check.
type checkFlags struct {
	listenFlags
	roomTone, voice string
}

// checking is a check, ready to begin.
type checking struct {
	app   *app
	o     rig.Options
	shown bool // the person has seen the result
}

func newCheck(a *app) *cobra.Command {
	f := &checkFlags{}
	cmd := &cobra.Command{
		Use:   "check [FILE]",
		Short: "Judge room and voice before the camera rolls",
		Long: `Listens to some seconds of quiet and some of the voice, and says whether to roll:
ready, caution or not-ready, with what to do about it and the settings that suit.
A microphone is measured live, step by step; of a file, room tone and voice are
found, or given as START:END in seconds. The exit code is 1 for not-ready.

People whose microphones have settings of their own, as with --gain 0,0 --names
host,guest, are asked to speak in turn, and each gets an answer of their own.

Input, channels, camera and chain that are not given are as last set in the
monitor; with any chain flag, the rest of the chain is off.`,
		Example: `  rollready check
  rollready check --input lavalier --camera "b camera"
  rollready check kitchen-test.wav --room-tone 0:05 --voice 5:20 --json`,
		Args: atMostOneFile,
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd.Context(), a, args) },
	}
	f.listenFlags.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.roomTone, "room-tone", "", "of a file: where it is quiet, `START:END` in seconds")
	flags.StringVar(&f.voice, "voice", "", "of a file: where the voice is, `START:END` in seconds; of people in turn, one each by commas")
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

func atMostOneFile(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return fmt.Errorf("%d files given: check judges one at a time; see rollready report for many", len(args))
	}
	return nil
}

func (f *checkFlags) run(ctx context.Context, a *app, args []string) error {
	if len(args) == 1 {
		if err := f.takeFile(args[0]); err != nil {
			return err
		}
	}
	o, err := f.listening(a)
	if err != nil {
		return err
	}
	c := checking{app: a, o: o}
	result, err := f.measure(ctx, &c)
	if err != nil {
		return err
	}
	return c.tell(result)
}

// takeFile makes an argument the input.
func (f *checkFlags) takeFile(path string) error {
	if f.cmd.Flags().Changed("input") {
		return errors.New("both a file and --input are given: give one of them")
	}
	return f.cmd.Flags().Set("input", rig.FilePrefix+path)
}

func (f *checkFlags) measure(ctx context.Context, c *checking) (preroll.Result, error) {
	if c.o.Input.Path() != "" || c.o.Input.Choice == rig.DemoInput {
		room, voices, err := guided.ParseSpans(f.roomTone, f.voice)
		if err != nil {
			return preroll.Result{}, fmt.Errorf("--%w", err)
		}
		return rig.CheckRecorded(ctx, c.o, func(channels string) { fmt.Fprintln(c.app.stderr, "rollready: checks", channels) }, room, voices...)
	}
	if f.roomTone+f.voice != "" {
		return preroll.Result{}, errors.New("--room-tone and --voice are for files: give a FILE")
	}
	return c.live(ctx)
}

func (c *checking) tell(r preroll.Result) error {
	err := c.app.say(r, func() error {
		if !c.shown {
			writeCheck(c.app.stdout, r, &c.o)
		}
		return nil
	})
	if err == nil && r.Verdict == verdict.NotReady {
		return errFinding
	}
	return err
}

// writeCheck writes the result of a check with these options for a person.
func writeCheck(w io.Writer, r preroll.Result, o *rig.Options) {
	fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(string(r.Verdict)), r.Verdict.Words())
	writeFindings(w, r.Findings)
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
		set := o.Settings.Strips.Chain(strip)
		fmt.Fprintf(w, "Set now:               %s\n", set.Words())
		fmt.Fprintf(w, "Voice:                 peaks %s dBTP, at the camera %s dBFS; %s LUFS; %s dBA above the room\n",
			voice.PeakDBFS, figure.Figure(o.Camera.Scale.Reads(float64(voice.PeakDBFS))), voice.ShortTermLUFS, voice.SNRDBA)
	}
	fmt.Fprintf(w, "Room tone:             %s dBFS, %s dBA\n", room.LevelDBFS, room.LevelDBA)
}
