package power

import (
	"context"
	"os/exec"
	"time"
)

// read asks the program that every Mac has for it. Not tried on a Mac yet.
func read() Battery {
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Second)
	defer cancel()
	printed, err := exec.CommandContext(ctx, "/usr/bin/pmset", "-g", "batt").Output()
	if err != nil {
		return Battery{}
	}
	return FromPmset(string(printed))
}
