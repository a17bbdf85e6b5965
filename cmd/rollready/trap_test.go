package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/capture/rig"
)

// trapVariable makes the test binary be the monitor, with its things in the
// folder named, on a trap.
const trapVariable = "ROLLREADY_TEST_TRAP"

// trap is a source that makes the session's goroutine, which asks for its
// name, panic as soon as a file of that name is there.
type trap struct {
	capture.Source
	file string
}

func (s trap) Name() string {
	if _, err := os.Stat(s.file); err == nil {
		panic("asked to")
	}
	return s.Source.Name()
}

func trapped(dir string) int {
	a := newApp(os.Stdout, os.Stderr)
	a.config = filepath.Join(dir, "config")
	f := &monitorFlags{takes: filepath.Join(dir, "takes")}
	f.inputFlags.cmd = &cobra.Command{}
	o, err := f.options(a)
	if err == nil {
		o.Input = rig.Input{Choice: rig.DemoInput, Pick: capture.Auto, Open: func() (capture.Source, error) {
			return trap{demo.New(rig.DemoRateHz), filepath.Join(dir, "panic")}, nil
		}}
		err = f.open(context.Background(), o, &[]string{})
	}
	fmt.Fprintln(os.Stderr, "ended:", err)
	return 0
}
