package power

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Read asks the system. It reads a few small files: not for an audio thread.
func Read() State { return readFrom("/sys/class/power_supply") }

// readFrom reads the kernel's power_supply class. Several batteries count by
// their mean; those of a mouse or a headset (scope Device) do not.
func readFrom(dir string) State {
	s, count := State{}, 0
	supplies, _ := filepath.Glob(filepath.Join(dir, "*"))
	for _, supply := range supplies {
		value := func(name string) string {
			raw, _ := os.ReadFile(filepath.Join(supply, name)) // absent: says nothing
			return strings.TrimSpace(string(raw))
		}
		switch kind := value("type"); {
		case kind == "Battery" && value("scope") != "Device":
			percent, err := strconv.Atoi(value("capacity"))
			if err != nil {
				continue
			}
			s.Percent += percent
			s.Mains = s.Mains || value("status") == "Charging" || value("status") == "Full"
			count++
		case kind == "Mains" || kind == "USB":
			s.Mains = s.Mains || value("online") == "1"
		}
	}
	if count == 0 {
		return State{}
	}
	s.Known, s.Percent = true, s.Percent/count
	return s
}
