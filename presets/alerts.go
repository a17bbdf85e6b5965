package presets

import (
	"errors"
	"fmt"
)

// AlertKind is one thing that a person must know also while looking elsewhere.
type AlertKind int

// The kinds.
const (
	AlertTakeStopped AlertKind = iota // a take ended by a fault
	AlertInputLost
	AlertClipped    // the input or the output
	AlertSilence    // a take rolls, and for Recording.SilenceS nothing was heard
	AlertRunningLow // battery or disk
	AlertCameraLost // the camera's output is away or muted
	AlertKinds      // how many there are
)

// AlertWays is how a person is told: any of the ways together, 0 for none.
type AlertWays uint8

// The ways: the terminal's bell, a notification of the desktop, a soft sound in
// the headphones.
const (
	Bell AlertWays = 1 << iota
	Notification
	Earcon
)

// Has tells whether a way is among them.
func (w AlertWays) Has(way AlertWays) bool { return w&way != 0 }

// Alerts is how a person is told of each kind.
type Alerts [AlertKinds]AlertWays

// defaultAlerts: what costs sound that nobody gets back is told, by the way
// that disturbs no one on set.
func defaultAlerts() Alerts { return Alerts{AlertTakeStopped: Notification} }

// alertsForm is Alerts on disk: the ways by their names.
type alertsForm struct {
	TakeStopped []string `toml:"take_stopped" comment:"of bell, notification, earcon"`
	InputLost   []string `toml:"input_lost"`
	Clipped     []string `toml:"clipped"`
	Silence     []string `toml:"silence"`
	RunningLow  []string `toml:"running_low"`
	CameraLost  []string `toml:"camera_lost"`
}

func (f *alertsForm) kinds() [AlertKinds]*[]string {
	return [...]*[]string{&f.TakeStopped, &f.InputLost, &f.Clipped, &f.Silence, &f.RunningLow, &f.CameraLost}
}

var alertWays = [...]string{"bell", "notification", "earcon"}

func formOfAlerts(a Alerts) (f alertsForm) {
	for kind, names := range f.kinds() {
		*names = []string{}
		for i, name := range alertWays {
			if a[kind].Has(1 << i) {
				*names = append(*names, name)
			}
		}
	}
	return f
}

func (f alertsForm) alerts() (a Alerts, err error) {
	for kind, names := range f.kinds() {
		for _, name := range *names {
			known := false
			for i, way := range alertWays {
				if way == name {
					a[kind] |= 1 << i
					known = true
				}
			}
			if !known {
				err = errors.Join(err, fmt.Errorf("alerts %q: choose of %q", name, alertWays))
			}
		}
	}
	return a, err
}
