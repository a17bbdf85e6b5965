package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"rollready/capture/take"
	"rollready/dsp/plain"
	"rollready/presets"
)

// app is what every command needs.
type app struct {
	stdout, stderr io.Writer
	config         string
	json           bool        // print for scripts
	warn           func(error) // tells what does not stop the work; nil is nothing
}

func newApp(stdout, stderr io.Writer) *app {
	a := &app{stdout: stdout, stderr: stderr}
	a.warn = func(err error) {
		if err != nil {
			fmt.Fprintln(stderr, "rollready: warning:", plain.OneLine(err))
		}
	}
	return a
}

// store opens the kept things. What can't be kept is a warning.
func (a *app) store() *presets.Store {
	s, err := presets.Open(a.dir())
	if err != nil {
		a.warn(fmt.Errorf("nothing can be kept in %s: %w: give another folder with --config", a.dir(), err))
	}
	return s
}

// dir is the folder of the kept things.
func (a *app) dir() string { return cmp.Or(a.config, presets.DefaultDir()) }

// settings reads the kept settings; they are the defaults where they can't be read.
func (a *app) settings(s *presets.Store) presets.Settings {
	settings, err := s.Settings()
	a.warn(err)
	if names := settings.Recording.Names; names != "" {
		if err := take.CheckPattern(names); err != nil {
			a.warn(fmt.Errorf("names of takes %q: %w; the usual names are used", names, err))
			settings.Recording.Names = ""
		}
	}
	return settings
}

// gatherWarnings collects warnings from now on: behind a screen nobody reads
// stderr.
func (a *app) gatherWarnings() *[]string {
	list := &[]string{}
	a.warn = func(err error) {
		if err != nil {
			*list = append(*list, plain.OneLine(err))
		}
	}
	return list
}

func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "rollready",
		Short: "Get the sound right before the camera rolls",
		Long: `rollready sits on a laptop between microphone and camera. It shows the level at
the input and where the camera's meter will sit, and filters and trims what the
camera gets. Without a command it opens the live monitor.

Loud sound harms hearing: start with the headphones turned low. A camera's mic
jack expects millivolts and may carry power: use a pad and a DC block as the
makers advise, and ask a qualified technician when in doubt.`,
		Example: `  rollready                                  the monitor, as you left it
  rollready --input lavalier --camera "b camera"
  rollready watch --input file:kitchen-interview.wav --fast --json
  rollready preset save "harbour wall" --high-pass 120/24`,
		Args:          noArgs,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	root.PersistentFlags().StringVar(&a.config, "config", "", "`DIR` for presets, cameras and settings")
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		var unknown *pflag.NotExistError
		if errors.As(err, &unknown) {
			for _, now := range renamed[unknown.GetSpecifiedName()] {
				if cmd.Flags().Lookup(now) != nil {
					return fmt.Errorf("--%s is --%s now: see %s --help", unknown.GetSpecifiedName(), now, cmd.CommandPath())
				}
			}
		}
		var wrong *pflag.InvalidValueError
		if errors.As(err, &wrong) {
			err = fmt.Errorf("--%s %q: not %s", wrong.GetFlag().Name, wrong.GetValue(), kindWords(wrong.GetFlag()))
		}
		return fmt.Errorf("%w: see %s --help", err, cmd.CommandPath())
	})
	addMonitor(a, root)
	root.AddCommand(newWatch(a), newCheck(a), newLineup(a), newTake(a), newReport(a), newDevices(a), newBands(a), newPreset(a), newCamera(a), newProcess(a), newSync(a), newVersion(a), newManual(a))
	root.SetHelpCommand(newHelp(a))
	return root
}

// renamed are flags that had another name, by the old one.
var renamed = map[string][]string{"dir": {"takes"}, "output": {"headphones", "camera-output"}, "overwrite": {"replace"}, "names": {"pattern"}, "out": {"output-level"}, "rate": {"sample-rate"}, "room-tone": {"room"}}

// kindWords says what a flag takes.
func kindWords(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int":
		return "a whole number, like 2"
	case "float64":
		return "a number, like 2.5"
	}
	return "understood"
}

// either refuses two flags of a pair together.
func either(cmd *cobra.Command, pairs ...[2]string) {
	cmd.PreRunE = func(*cobra.Command, []string) error {
		for _, p := range pairs {
			if cmd.Flags().Changed(p[0]) && cmd.Flags().Changed(p[1]) {
				return fmt.Errorf("choose one of --%s and --%s", p[0], p[1])
			}
		}
		return nil
	}
}

// noArgs refuses words that no command takes.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return fmt.Errorf("%q is not understood: see %s --help", args[0], cmd.CommandPath())
}

// exactly asks for so many words after the command.
func exactly(n int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == n {
			return nil
		}
		return fmt.Errorf("%s: %d given, %d needed: write it as %q", cmd.CommandPath(), len(args), n, strings.TrimSuffix(cmd.UseLine(), " [flags]"))
	}
}

// group is a command that only holds others.
func group(use, short string, commands ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use, Short: short, Args: noArgs, RunE: func(cmd *cobra.Command, _ []string) error {
		return fmt.Errorf("%s: say what to do: see %s --help", cmd.CommandPath(), cmd.CommandPath())
	}}
	c.AddCommand(commands...)
	return c
}
