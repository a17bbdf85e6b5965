package power

import (
	"unsafe"

	"golang.org/x/sys/windows"
)

// Read asks the system.
func Read() State {
	// SYSTEM_POWER_STATUS of the Windows API.
	var status struct {
		line, flag, percent, saver byte
		left, full                 uint32
	}
	call := windows.NewLazySystemDLL("kernel32.dll").NewProc("GetSystemPowerStatus")
	if ok, _, _ := call.Call(uintptr(unsafe.Pointer(&status))); ok == 0 || status.percent > 100 {
		return State{}
	}
	return State{Known: true, Percent: int(status.percent), Mains: status.line == 1}
}
