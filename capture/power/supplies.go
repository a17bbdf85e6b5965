package power

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Root is where Linux lists its power supplies.
const Root = "/sys/class/power_supply"

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
