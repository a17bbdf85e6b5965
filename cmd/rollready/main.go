// Command rollready gets the sound right before the camera rolls.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"rollready/capture/quiet"
	"rollready/dsp/plain"
)

// Exit codes besides 0.
const (
	exitFinding = 1 // the work was done and found something that stops
	exitError   = 2
)

// errFinding ends a command that has already said what it found.
var errFinding = errors.New("a finding that stops")

func main() {
	if err := quiet.Stderr(""); err != nil {
		fmt.Fprintln(os.Stderr, "rollready: warning:", err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run does one command and gives the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	root := newRoot(newApp(stdout, stderr))
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errFinding):
		return exitFinding
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "rollready: stopped")
		return exitError
	default:
		fmt.Fprintln(stderr, "rollready:", plain.OneLine(err))
		return exitError
	}
}
