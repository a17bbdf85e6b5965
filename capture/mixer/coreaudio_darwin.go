package mixer

import (
	"bytes"
	"fmt"
	"math"
	"unsafe"

	"github.com/ebitengine/purego"

	"rollready/presets"
)

// coreAudio asks macOS, whose frameworks are loaded when the program runs, so
// that this is checked where Apple's headers are not at hand. Written after Apple's
// documentation of Core Audio (AudioHardware.h, AudioHardwareBase.h) and of
// CFString, from memory; not tried on a Mac yet.
type coreAudio struct {
	size    func(object uint32, of *property, qualifierSize uint32, qualifier unsafe.Pointer, size *uint32) int32
	data    func(object uint32, of *property, qualifierSize uint32, qualifier unsafe.Pointer, size *uint32, to unsafe.Pointer) int32
	text    func(of uintptr, to *byte, room int, encoding uint32) bool
	release func(of uintptr)
}

// property is an AudioObjectPropertyAddress.
type property struct{ selector, scope, element uint32 }

const (
	systemObject = 1          // kAudioObjectSystemObject
	utf8         = 0x08000100 // kCFStringEncodingUTF8
	whole        = 0          // kAudioObjectPropertyElementMain; channels count from 1
	maxChannels  = 32
)

// code is a name as Core Audio spells it in a number.
func code(name string) uint32 {
	return uint32(name[0])<<24 | uint32(name[1])<<16 | uint32(name[2])<<8 | uint32(name[3])
}

var (
	global, inputScope, outputScope = code("glob"), code("inpt"), code("outp")

	deviceList     = property{code("dev#"), global, whole}
	deviceUID      = property{code("uid "), global, whole}
	volumeDecibels = code("vold")
	mute           = code("mute")
)

func connect() (teller, error) {
	var c coreAudio
	for framework, calls := range map[string]map[string]any{
		"CoreAudio":      {"AudioObjectGetPropertyDataSize": &c.size, "AudioObjectGetPropertyData": &c.data},
		"CoreFoundation": {"CFStringGetCString": &c.text, "CFRelease": &c.release},
	} {
		library, err := purego.Dlopen("/System/Library/Frameworks/"+framework+".framework/"+framework, purego.RTLD_LAZY|purego.RTLD_GLOBAL)
		if err != nil {
			return nil, fmt.Errorf("load %s: %w", framework, err)
		}
		for name, to := range calls {
			purego.RegisterLibFunc(to, library, name)
		}
	}
	return c, nil
}

func (coreAudio) Close() error { return nil }

// read asks each device by the unique id by which the sound library knows it.
func (c coreAudio) read() (Snapshot, error) {
	s := Snapshot{inputs: map[string]device{}, outputs: map[string]device{}}
	var size uint32
	if status := c.size(systemObject, &deviceList, 0, nil, &size); status != 0 {
		return s, fmt.Errorf("ask Core Audio for its devices: error %d", status)
	}
	list := make([]uint32, size/4+1)
	if size = uint32(4 * len(list)); c.data(systemObject, &deviceList, 0, nil, &size, unsafe.Pointer(&list[0])) != 0 {
		return s, nil // one came or went meanwhile: nothing is known until the next time
	}
	for _, object := range list[:size/4] {
		id, ok := c.uid(object)
		if !ok {
			continue
		}
		// A volume of an input is the device's own; no program has one of its own.
		if in := c.setting(object, inputScope); in.Told {
			s.inputs[id] = device{Setting: in, whole: true, own: &unchanged}
		}
		if out := c.setting(object, outputScope); out.Told {
			s.outputs[id] = device{Setting: out, own: &unchanged}
		}
	}
	return s, nil
}

var unchanged = Setting{Told: true, Volume: presets.VolumeOf(0)}

func (c coreAudio) uid(object uint32) (id string, ok bool) {
	var text uintptr
	size := uint32(unsafe.Sizeof(text))
	if c.data(object, &deviceUID, 0, nil, &size, unsafe.Pointer(&text)) != 0 || text == 0 {
		return "", false
	}
	defer c.release(text)
	var raw [256]byte
	ok = c.text(text, &raw[0], len(raw), utf8)
	name, _, _ := bytes.Cut(raw[:], []byte{0})
	return string(name), ok
}

// setting is that of a device's one control, or of those of its channels; not
// told where it has neither.
func (c coreAudio) setting(object, scope uint32) Setting {
	if db, muted, told := c.control(object, scope, whole); told {
		return settingOf(db, muted, true)
	}
	var channelsDB []float64
	told := false
	for channel := uint32(1); channel <= maxChannels; channel++ {
		db, muted, has := c.control(object, scope, channel)
		if told = told || has; muted {
			db = []float64{math.Inf(-1)}
		}
		channelsDB = append(channelsDB, db...)
	}
	if !told {
		return Setting{}
	}
	return settingOf(channelsDB, false, true)
}

// control reads the volume, in dB, and the mute of one element.
func (c coreAudio) control(object, scope, element uint32) (db []float64, muted, told bool) {
	var volume float32
	var on uint32
	if c.number(object, property{volumeDecibels, scope, element}, unsafe.Pointer(&volume)) {
		db, told = []float64{float64(volume)}, true
	}
	if c.number(object, property{mute, scope, element}, unsafe.Pointer(&on)) {
		muted, told = on != 0, true
	}
	return db, muted, told
}

// number reads a property of four bytes.
func (c coreAudio) number(object uint32, p property, to unsafe.Pointer) bool {
	size := uint32(4)
	return c.data(object, &p, 0, nil, &size, to) == 0
}
