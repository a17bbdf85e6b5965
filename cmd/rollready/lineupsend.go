package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/device"
	"rollready/capture/offline"
	"rollready/capture/rig"
	"rollready/dsp/lineup/sequence"
	"rollready/tui/lines"
)

// sendFlags are those of lineup send.
type sendFlags struct {
	to, output string
	rateHz     int
	replace    bool
}

func newLineupSend(a *app) *cobra.Command {
	f := sendFlags{}
	cmd := &cobra.Command{
		Use:   "send",
		Short: "Send the line-up sequence to the camera, or write it to a file",
		Long: fmt.Sprintf(`Sends %.0f s of test sounds to an output device while the camera records, or
writes them to a WAV file. Then give the camera's clip to lineup read. Without
--camera-output a terminal is asked before anything sounds.

`, sequence.Seconds()) + preparation,
		Example: `  rollready lineup send --camera-output "line out"
  rollready lineup send --to sequence.wav`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("to") {
				return f.write(a)
			}
			return f.play(cmd.Context(), a, cmd.InOrStdin())
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.to, "to", "", "write a WAV `FILE` instead of playing")
	flags.StringVar(&f.output, "camera-output", "", "part of the output device's `NAME`, or its id")
	flags.IntVar(&f.rateHz, "sample-rate", 48000, "sample rate of the file in `HZ`")
	flags.BoolVar(&f.replace, "replace", false, "take the place of a file that exists")
	either(cmd, [2]string{"to", "camera-output"})
	return cmd
}

// write writes the sequence to a file.
func (f sendFlags) write(a *app) error {
	if f.rateHz < 44100 || f.rateHz > 192000 {
		return fmt.Errorf("--sample-rate %d: choose 44100 to 192000 Hz", f.rateHz)
	}
	if err := offline.WAVName(f.to); err != nil {
		return fmt.Errorf("--to: %w", err)
	}
	err := rig.WriteSequence(f.to, f.rateHz, f.replace)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s exists: give --to another name, or add --replace", f.to)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "%s: %.1f s. Play it at full scale, unchanged, into the camera while it records; then: rollready lineup read CLIP\n", f.to, sequence.Seconds())
	return nil
}

// play sends the sequence to an output device.
func (f sendFlags) play(ctx context.Context, a *app, in io.Reader) error {
	system := device.NewSystem(nil)
	defer system.Close()
	line := rig.NewLine(system, nil)
	output, err := lines.Destination(ctx, line, f.output, in, lines.Read(ctx, in), a.stderr)
	if err != nil {
		return err
	}
	if err := line.Sequence(output); err != nil {
		return err
	}
	defer line.Stop()
	printPreparation(a.stderr)
	over := line.State().Output
	fmt.Fprintf(a.stderr, "sending %.0f s to %q; the camera must be recording until the end\n", sequence.Seconds(), over.Name)
	told := ""
	volume := lines.VolumeTeller{To: a.stderr, Name: over.Name, Begun: time.Now()}
	sent, err := lines.Follow(ctx, line, func(s rig.LineState) (done bool) {
		volume.Tell(s.Volume)
		if s.Part != told && s.Part != string(sequence.Pause) {
			told = s.Part
			fmt.Fprintf(a.stderr, "  %s\n", s.Part)
		}
		return false
	})
	if err != nil || !sent.Sent {
		return fmt.Errorf("the sequence was not sent to its end, the clip can't be used: %w", cmp.Or(err, errors.New("stopped")))
	}
	with := fmt.Sprintf("--with %q", strings.TrimSpace(over.Name))
	if over.Twin { // its name is another's, too
		with = fmt.Sprintf("--with %q", over.Key)
	}
	if v := sent.Volume.Volume; v.Known && !v.Uneven() {
		with += fmt.Sprintf(" --volume %.2f", v.LoudestDB+0)
	}
	fmt.Fprintf(a.stderr, "sent. Stop the camera, then: rollready lineup read CLIP %s --camera NAME\n", with)
	return nil
}
