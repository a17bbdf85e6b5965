// Package power reads the battery. The figures come from the files Linux
// keeps under /sys/class/power_supply; other systems are not asked.
package power

import (
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

// WarnPercent is the charge below which a battery that is not charging is a
// reason to warn.
const WarnPercent = 20

// Battery is the state of the machine's batteries together. A plain value;
// the zero Battery is unknown.
type Battery struct {
	State   State
	Percent int // 0…100 where State is Charging or Draining
}

// State says what is known of the battery.
type State string

// The states.
const (
	Unknown  State = ""         // the system was not or can't be asked
	Absent   State = "absent"   // runs from the mains
	Charging State = "charging" // or full, with the mains connected
	Draining State = "draining"
)

// Low tells whether a person must be warned.
func (b Battery) Low() bool { return b.State == Draining && b.Percent < WarnPercent }

// Root is where Linux lists its power supplies.
const Root = "/sys/class/power_supply"

// Read asks this system. It reads a few small files, which may take some
// milliseconds: not for the audio thread or a screen's update.
func Read() Battery {
	if runtime.GOOS != "linux" {
		return Battery{}
	}
	return ReadFrom(Root)
}

// ReadFrom reads the supplies listed in a folder. Batteries of mice and
// headsets do not count; several of the machine's own are averaged.
func ReadFrom(root string) Battery {
	supplies, err := os.ReadDir(root)
	if err != nil {
		return Battery{}
	}
	total, count, draining := 0, 0, false
	for _, s := range supplies {
		dir := filepath.Join(root, s.Name())
		if field(dir, "type") != "Battery" || field(dir, "scope") == "Device" || field(dir, "present") == "0" {
			continue
		}
		percent, ok := charge(dir)
		if !ok {
			continue
		}
		total, count = total+percent, count+1
		draining = draining || field(dir, "status") == "Discharging"
	}
	switch {
	case count == 0:
		return Battery{State: Absent}
	case draining:
		return Battery{State: Draining, Percent: total / count}
	}
	return Battery{State: Charging, Percent: total / count}
}

// charge gives the percentage, from the file of that name or from energy or
// charge now and when full.
func charge(dir string) (percent int, ok bool) {
	if p, err := strconv.Atoi(field(dir, "capacity")); err == nil {
		return min(max(p, 0), 100), true
	}
	for _, kind := range []string{"energy", "charge"} {
		now, err1 := strconv.ParseFloat(field(dir, kind+"_now"), 64)
		full, err2 := strconv.ParseFloat(field(dir, kind+"_full"), 64)
		if err1 == nil && err2 == nil && full > 0 {
			return int(min(max(100*now/full, 0), 100)), true
		}
	}
	return 0, false
}

func field(dir, name string) string {
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(b))
}
