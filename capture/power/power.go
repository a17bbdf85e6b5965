// Package power reads the battery: from the files Linux keeps, by Windows'
// own call, and from what macOS' pmset prints; other systems are not asked.
package power

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

// Read asks this system, which may take some milliseconds: not for the audio
// thread or a screen's update.
func Read() Battery { return read() }
