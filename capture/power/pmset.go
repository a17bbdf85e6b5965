package power

import (
	"regexp"
	"strconv"
	"strings"
)

var internalBattery = regexp.MustCompile(`(?m)^\s*-InternalBattery-.*?(\d{1,3})%.*$`)

// FromPmset reads what "pmset -g batt" prints on macOS: the source that power
// is drawn from, then a line for each battery, also those of a UPS. Its form
// is from memory.
func FromPmset(printed string) Battery {
	found := internalBattery.FindStringSubmatch(printed)
	switch {
	case !strings.HasPrefix(printed, "Now drawing from"):
		return Battery{}
	case found == nil:
		return Battery{State: Absent}
	}
	percent, _ := strconv.Atoi(found[1]) // at most three digits
	b := Battery{State: Charging, Percent: min(percent, 100)}
	if strings.HasPrefix(printed, "Now drawing from 'Battery Power'") {
		b.State = Draining
	}
	return b
}
