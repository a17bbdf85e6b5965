package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"rollready/capture/rig"
	"rollready/capture/rig/guided"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
	"rollready/tui/lines"
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
  rollready check kitchen-test.wav --room 0:05 --voice 5:20 --json`,
		Args: atMostOneFile,
		RunE: func(cmd *cobra.Command, args []string) error { return f.run(cmd.Context(), a, args) },
	}
	f.listenFlags.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.roomTone, "room", "", "of a file: where it is quiet, `START:END` in seconds")
	flags.StringVar(&f.voice, "voice", "", "of a file: where the voice is, `START:END`; of people in turn by commas")
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
		return preroll.Result{}, errors.New("--room and --voice are for files: give a FILE")
	}
	return c.live(ctx)
}

func (c *checking) tell(r preroll.Result) error {
	err := c.app.say(r, func() error {
		if !c.shown {
			lines.Checked(c.app.stdout, r, &c.o)
		}
		return nil
	})
	if err == nil && r.Verdict == verdict.NotReady {
		return errFinding
	}
	return err
}

// live leads a person through a check.
func (c *checking) live(ctx context.Context) (result preroll.Result, err error) {
	c.o.Input.Fallback = false // a check of the demo scene would be taken for the microphone's
	err = withRig(ctx, &c.o, rig.Listen, func(r *rig.Rig) (err error) {
		result, c.shown, err = lines.Check(ctx, r, &c.o, c.app.stderr)
		return err
	})
	return result, err
}
