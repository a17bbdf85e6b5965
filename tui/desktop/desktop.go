// Package desktop shows notifications on the desktop, by the Desktop
// Notifications Specification of freedesktop.org (version 1.2) over the
// session's D-Bus.
//
// Windows and macOS have no such bus: there, and where nobody answers on it, the
// error says so, and the caller has the terminal's own way or none.
package desktop

import (
	"context"
	"errors"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"github.com/godbus/dbus/v5"

	"rollready/dsp/plain"
)

// patience is how long the desktop may take for one notification.
const patience = 3 * time.Second

// ErrNoBus says that there is no session bus to speak over.
var ErrNoBus = errors.New("no desktop to notify: there is no session bus")

const (
	service = "org.freedesktop.Notifications"
	object  = "/org/freedesktop/Notifications"
	urgent  = byte(2)
	normal  = byte(1)
	stay    = int32(-1) // as long as the desktop thinks right
)

// Notify shows a notification. It waits for the desktop, some seconds at most.
func Notify(ctx context.Context, title, text string, grave bool) error {
	at := address()
	if at == "" {
		return ErrNoBus
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	bus, err := dbus.Connect(at, dbus.WithContext(ctx))
	if err != nil {
		return fmt.Errorf("notify the desktop: %w", err)
	}
	defer bus.Close()
	to := bus.Object(service, object)
	var can []string
	if err := to.CallWithContext(ctx, service+".GetCapabilities", 0).Store(&can); err != nil {
		return fmt.Errorf("notify the desktop: %w", err)
	}
	title, text = plain.Text(title), plain.Text(text)
	if slices.Contains(can, "body-markup") { // else it shows the text as it is
		text = html.EscapeString(text)
	}
	urgency := normal
	if grave {
		urgency = urgent
	}
	err = to.CallWithContext(ctx, service+".Notify", 0, "rollready", uint32(0), "", title, text, []string{},
		map[string]dbus.Variant{"urgency": dbus.MakeVariant(urgency)}, stay).Err
	if err != nil {
		return fmt.Errorf("notify the desktop: %w", err)
	}
	return nil
}

// address is the session bus's, "" if there is none. The library's own search
// would start one.
func address() string {
	if at := os.Getenv("DBUS_SESSION_BUS_ADDRESS"); at != "" {
		return at
	}
	if runtime.GOOS == "windows" || runtime.GOOS == "darwin" {
		return ""
	}
	socket := filepath.Join(os.Getenv("XDG_RUNTIME_DIR"), "bus")
	if info, err := os.Stat(socket); err != nil || info.Mode()&os.ModeSocket == 0 {
		return ""
	}
	return "unix:path=" + socket
}
