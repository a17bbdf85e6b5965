package device

import (
	"errors"
	"fmt"

	"rollready/capture"
)

// backends lists the sound systems to try, best first. The null backend is
// not among them and must never be: it always opens and delivers silence.
func backends(goos string) []string {
	switch goos {
	case "windows":
		return []string{"wasapi"}
	case "darwin":
		return []string{"coreaudio"}
	default:
		return []string{"pulseaudio", "alsa"}
	}
}

// direction is where sound goes through a device.
type direction int

const (
	input direction = iota
	output
)

func (d direction) String() string {
	if d == output {
		return "output"
	}
	return "input"
}

// none is the error for when no such device exists.
func (d direction) none() error {
	if d == output {
		return ErrNoOutput
	}
	return capture.ErrNoInput
}

// notOpened words why a device can't be opened, with what to do. A sound
// system that hangs says so itself.
func notOpened(d direction, of Info, err error) error {
	if err = fmt.Errorf("open %s %q: %w", d, of.Name, err); errors.Is(err, ErrHung) {
		return err
	}
	return fmt.Errorf("%w: connect it, or end the program that uses it", err)
}
