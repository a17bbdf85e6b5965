package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rollready/capture/take"
	"rollready/dsp/plain"
)

// takeListFlags are those of take list.
type takeListFlags struct {
	takesFlag
	deleted, judge bool
}

func newTakeList(a *app) *cobra.Command {
	f := &takeListFlags{}
	cmd := &cobra.Command{Use: "list", Short: "List the takes in a folder", Args: noArgs,
		Example: `  rollready take list
  rollready take list --takes harbour --json
  rollready take list --deleted`,
		RunE: func(cmd *cobra.Command, _ []string) error { return f.run(cmd.Context(), a) }}
	f.takesFlag.add(cmd)
	a.jsonFlag(cmd, "one JSON object")
	cmd.Flags().BoolVar(&f.deleted, "deleted", false, "list the deleted takes; take undelete brings them back")
	cmd.Flags().BoolVar(&f.judge, "judge", false, "measure all takes that nobody measured whole yet, however long it takes")
	return cmd
}

// judgeTime is how long a list waits for takes that nobody judged yet.
const judgeTime = time.Second

func (f *takeListFlags) run(ctx context.Context, a *app) error {
	list := take.List
	if f.deleted {
		list = take.Bin
	}
	found, err := list(f.folder(a))
	if errors.Is(err, fs.ErrNotExist) && f.dir == "" { // nothing was recorded yet
		found, err = nil, nil
	}
	if err != nil {
		return err
	}
	if !f.judge {
		var stop context.CancelFunc
		ctx, stop = context.WithTimeout(ctx, judgeTime)
		defer stop()
	}
	if !f.deleted {
		take.JudgeAll(ctx, found)
	}
	return a.say(take.NewListing(found), func() error { return a.printTakes(found) })
}

// newTakeUndelete brings takes back that were deleted on the screen.
func newTakeUndelete(a *app) *cobra.Command {
	f := &takesFlag{}
	cmd := &cobra.Command{Use: "undelete NAME", Short: "Bring a deleted take back by the name of its file", Args: exactly(1),
		Example: "  rollready take undelete 12A_003.wav",
		RunE: func(_ *cobra.Command, args []string) error {
			wav, err := take.Undelete(f.folder(a), args[0])
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(a.stdout, "%s is back\n", plain.Text(wav))
			return err
		}}
	f.add(cmd)
	return cmd
}

func (a *app) printTakes(found []take.Found) error {
	for _, f := range found {
		a.warn(f.Err)
	}
	rows, notes := take.Rows(found)
	if err := a.table(rows); err != nil || len(notes) == 0 {
		return err
	}
	_, err := fmt.Fprintf(a.stdout, "\n%s\n", strings.Join(notes, "\n"))
	return err
}
