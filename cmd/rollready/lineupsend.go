package main

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/wavfile"
	"rollready/dsp/lineup/sequence"
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
writes them to a WAV file. Then give the camera's clip to lineup read.

`, sequence.Seconds()) + preparation,
		Example: `  rollready lineup send --output "line out"
  rollready lineup send --to sequence.wav`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if f.to != "" {
				return f.write(a)
			}
			return f.play(cmd.Context(), a)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.to, "to", "", "write a WAV `FILE` instead of playing")
	flags.StringVar(&f.output, "output", "", "part of the output device's `NAME`, or its id; the default device without")
	flags.IntVar(&f.rateHz, "rate", 48000, "sample rate of the file in `HZ`")
	flags.BoolVar(&f.replace, "replace", false, "take the place of a file that exists")
	cmd.MarkFlagsMutuallyExclusive("to", "output")
	return cmd
}

// write writes the sequence to a file.
func (f sendFlags) write(a *app) error {
	if f.rateHz < 44100 || f.rateHz > 192000 {
		return fmt.Errorf("--rate %d: choose 44100 to 192000 Hz", f.rateHz)
	}
	create := wavfile.Create
	if f.replace {
		create = wavfile.Replace
	}
	w, err := create(f.to, capture.Format{RateHz: f.rateHz, Channels: 2}, wavfile.PCM24)
	if err != nil {
		return err
	}
	player := sequence.NewPlayer(f.rateHz, 2)
	block := make([]float32, 2*4096)
	for n := player.Read(block); n > 0; n = player.Read(block) {
		if err := w.Write(block[:2*n]); err != nil {
			w.Abort()
			return err
		}
	}
	if err := w.Close(); err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "%s: %.1f s. Play it at full scale, unchanged, into the camera while it records; then: rollready lineup read CLIP\n", f.to, sequence.Seconds())
	return nil
}

// sending is the sequence on its way; the audio thread plays, the command
// watches.
type sending struct {
	player *sequence.Player
	frame  atomic.Int64
	ended  atomic.Bool
}

func (s *sending) fill(block []float32) {
	if s.player.Read(block) == 0 {
		s.ended.Store(true)
	}
	frame, _ := s.player.Position()
	s.frame.Store(frame)
}

// play sends the sequence to an output device.
func (f sendFlags) play(ctx context.Context, a *app) error {
	out, err := openSounding(f.output)
	if err != nil {
		return err
	}
	defer out.close()
	printPreparation(a.stderr)
	fmt.Fprintf(a.stderr, "sending %.0f s to %q; the camera must be recording until the end\n", sequence.Seconds(), out.name())
	s := &sending{player: sequence.NewPlayer(out.format().RateHz, out.format().Channels)}
	if err := out.start(s.fill); err != nil {
		return err
	}
	told := sequence.Kind("")
	volume := volumeTeller{to: a.stderr, name: out.name(), begun: time.Now()}
	err = out.each(ctx, func() bool {
		volume.tell(out.output.Volume())
		if kind := kindAt(float64(s.frame.Load()) / float64(out.format().RateHz)); kind != told && kind != sequence.Pause {
			told = kind
			fmt.Fprintf(a.stderr, "  %s\n", kind)
		}
		return s.ended.Load()
	})
	if err != nil {
		return fmt.Errorf("the sequence was not sent to its end, the clip can't be used: %w", err)
	}
	with := fmt.Sprintf("--with %q", strings.TrimSpace(out.name()))
	if v := out.output.Volume().Volume; v.Known && !v.Uneven() {
		with += fmt.Sprintf(" --volume %.2f", v.LoudestDB+0)
	}
	time.Sleep(tailTime) // what the device holds must sound
	fmt.Fprintf(a.stderr, "sent. Stop the camera, then: rollready lineup read CLIP %s --camera NAME\n", with)
	return nil
}

// tailTime is longer than any device's buffer.
const tailTime = 1200 * time.Millisecond

func kindAt(seconds float64) sequence.Kind {
	kind := sequence.Pause
	for _, s := range sequence.Sections() {
		if seconds >= s.Start {
			kind = s.Kind
		}
	}
	return kind
}
