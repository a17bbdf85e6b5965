package power

import (
	"unsafe"

	"golang.org/x/sys/windows"
)

// status is SYSTEM_POWER_STATUS of winbase.h.
type status struct {
	mains, flag, percent, saver byte
	lifeSeconds, fullSeconds    uint32
}

// Values of a status.
const (
	offline   = 0
	online    = 1
	charging  = 8
	noBattery = 128
	untold    = 255
)

var getSystemPowerStatus = windows.NewLazySystemDLL("kernel32.dll").NewProc("GetSystemPowerStatus")

func read() Battery {
	var s status
	if ok, _, _ := getSystemPowerStatus.Call(uintptr(unsafe.Pointer(&s))); ok == 0 {
		return Battery{}
	}
	return s.battery()
}

func (s status) battery() Battery {
	switch {
	case s.flag == untold:
		return Battery{}
	case s.flag&noBattery != 0:
		return Battery{State: Absent}
	case s.percent > 100:
		return Battery{}
	case s.mains == online || s.flag&charging != 0:
		return Battery{State: Charging, Percent: int(s.percent)}
	case s.mains == offline:
		return Battery{State: Draining, Percent: int(s.percent)}
	}
	return Battery{}
}
