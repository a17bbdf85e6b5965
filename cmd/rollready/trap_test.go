package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/demo"
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
	m := newMonitor(a)
	kept := a.settings(m.store)
	f := &monitorFlags{takes: filepath.Join(dir, "takes")}
	var err error
	if m.settings, m.camera, err = f.apply(a, kept, m.store); err == nil {
		open := func() (capture.Source, error) { return trap{demo.New(demoRateHz), filepath.Join(dir, "panic")}, nil }
		err = m.run(context.Background(), input{open: open, pick: capture.Auto, choice: "demo"}, kept, &f.outputFlags)
	}
	fmt.Fprintln(os.Stderr, "ended:", err)
	return 0
}
