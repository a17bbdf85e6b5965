//go:build cgo

package mixer

import (
	"fmt"
	"math"
	"syscall"
	"unsafe"
)

// #cgo LDFLAGS: -lole32
// #include "endpoints_windows.h"
import "C"

// endpoints are Windows' inputs and outputs. Sources: Microsoft's
// documentation of IAudioEndpointVolume (a channel's level in dB, hardware
// support) and of ISimpleAudioVolume (a session's level, a factor up to 1).
type endpoints struct{}

func connect() (teller, error) { return endpoints{}, nil }

func (endpoints) Close() error { return nil }

func (endpoints) read() (s Snapshot, err error) {
	if s.inputs, err = endpointsOf(1); err == nil {
		s.outputs, err = endpointsOf(0)
	}
	return s, err
}

func endpointsOf(inputs C.int) (map[string]device, error) {
	var list [64]C.endpoint
	count := C.endpoints_read(inputs, &list[0], C.int(len(list)))
	if count < 0 {
		return nil, fmt.Errorf("ask Windows for its volumes: error %#x", uint32(count))
	}
	found := map[string]device{}
	for _, e := range list[:count] {
		var channelsDB []float64
		for _, db := range e.db[:e.channels] {
			channelsDB = append(channelsDB, float64(db))
		}
		d := device{Setting: settingOf(channelsDB, e.muted != 0, true), whole: inputs != 0 && e.hardware != 0}
		if e.own >= 0 {
			own := settingOf([]float64{20 * math.Log10(float64(e.own))}, e.own_muted != 0, true)
			d.own = &own
		}
		found[syscall.UTF16ToString(unsafe.Slice((*uint16)(unsafe.Pointer(&e.id[0])), len(e.id)))] = d
	}
	return found, nil
}
