//go:build cgo

package device

// The only file that knows the audio binding. What it guards against, all
// seen with v0.11.24: a context without an explicit backend falls back to a
// silent null device; a call into a hung sound server never returns; a second
// Uninit is a use after free; DeviceID.Pointer leaks.

import (
	"cmp"
	"encoding/hex"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"unsafe"

	"github.com/gen2brain/malgo"

	"rollready/capture"
)

func backendNumber(name string) (malgo.Backend, bool) {
	switch name {
	case "wasapi":
		return malgo.BackendWasapi, true
	case "coreaudio":
		return malgo.BackendCoreaudio, true
	case "pulseaudio":
		return malgo.BackendPulseaudio, true
	case "alsa":
		return malgo.BackendAlsa, true
	default:
		return 0, false
	}
}

func (d direction) number() malgo.DeviceType {
	if d == output {
		return malgo.Playback
	}
	return malgo.Capture
}

// host is one connection to a sound system. The binding's calls on a context
// must not overlap: all go through call.
type host struct {
	backend string
	ctx     *malgo.AllocatedContext
	turn    chan struct{} // holds one token; a call that hangs keeps it for ever
	stuck   atomic.Bool   // a call hung: the context can be neither used nor freed
	opened  *atomic.Int64 // the system's

	mu      sync.Mutex
	holders int  // open streams, and who is about to use the context
	retired bool // free the context with its last holder
}

// connect opens a context of exactly this backend.
func connect(backend string) (*host, error) {
	number, ok := backendNumber(backend)
	if !ok {
		return nil, fmt.Errorf("sound system %q: choose one of %s", backend, strings.Join(backends(runtime.GOOS), ", "))
	}
	h := &host{backend: backend, turn: make(chan struct{}, 1)}
	h.turn <- struct{}{}
	err := within(connectLimit, func() (err error) {
		h.ctx, err = malgo.InitContext([]malgo.Backend{number}, malgo.ContextConfig{}, nil)
		return err
	}, func() { freeContext(h.ctx) })
	switch {
	case errors.Is(err, malgo.ErrNoBackend):
		return nil, fmt.Errorf("the sound system %s is not running", backend)
	case err != nil:
		return nil, fmt.Errorf("connect to %s: %w", backend, err)
	}
	return h, nil
}

// call runs f alone on the context, within the time limit. late undoes what f
// did if it comes back after all.
func (h *host) call(f func() error, late func()) error {
	return within(callLimit, func() error {
		<-h.turn
		defer func() { h.turn <- struct{}{} }()
		return f()
	}, late, func() { h.stuck.Store(true) })
}

// hold keeps the context from being freed until release.
func (h *host) hold() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.holders++
}

func (h *host) release() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.holders--
	h.freeIfUnused()
}

// retire frees the context now or with its last holder.
func (h *host) retire() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.retired = true
	h.freeIfUnused()
}

// freeIfUnused leaves a context alone for ever in which a call hangs.
func (h *host) freeIfUnused() {
	if h.retired && h.holders == 0 && !h.stuck.Load() {
		go freeContext(h.ctx)
	}
}

func freeContext(ctx *malgo.AllocatedContext) {
	if ctx != nil {
		_ = ctx.Uninit()
		ctx.Free()
	}
}

// list gives the devices of one direction, without their native formats, and
// ALSA's plugins.
func (h *host) list(d direction) (found []Info, err error) {
	err = h.call(func() error {
		devices, err := h.ctx.Devices(d.number())
		for i := range devices {
			if info := h.info(&devices[i]); !info.standsIn() {
				found = append(found, info)
			}
		}
		return err
	}, nil)
	if err != nil {
		return nil, fmt.Errorf("list devices: %w", err)
	}
	markTwins(found)
	return found, nil
}

// detail fills in the native rates and channels of one device.
func (h *host) detail(d direction, of Info) (Info, error) {
	var detailed malgo.DeviceInfo
	err := h.call(func() (err error) {
		detailed, err = h.ctx.DeviceInfo(d.number(), h.id(of), malgo.Shared)
		return err
	}, nil)
	if err != nil {
		return of, notOpened(d, of, err)
	}
	converts := false
	for _, f := range detailed.Formats {
		of.addNative(int(f.SampleRate), int(f.Channels))
		converts = converts || of.plugin() && f.Channels == 1
	}
	if converts { // to as many channels as are asked for
		of.Channels = min(of.Channels, 2)
	}
	return of, nil
}

func (h *host) info(d *malgo.DeviceInfo) Info {
	id := strings.TrimRight(string(d.ID[:]), "\x00")
	if h.backend == "wasapi" { // 16-bit characters
		id = strings.ReplaceAll(id, "\x00", "")
	}
	if !printable(id) {
		id = hexMark + hex.EncodeToString([]byte(strings.TrimRight(string(d.ID[:]), "\x00")))
	}
	return Info{Backend: h.backend, ID: id, Name: cmp.Or(d.Name(), id), Default: d.IsDefault != 0,
		Monitor: h.backend == "pulseaudio" && strings.HasSuffix(id, ".monitor")}
}

// id is the binding's form of a device's id.
func (h *host) id(of Info) (id malgo.DeviceID) {
	raw := []byte(of.ID)
	if text, isHex := strings.CutPrefix(of.ID, hexMark); isHex {
		raw, _ = hex.DecodeString(text)
	} else if h.backend == "wasapi" {
		raw = []byte(strings.Join(strings.Split(of.ID, ""), "\x00"))
	}
	copy(id[:], raw)
	return id
}

// streamName is another for each stream, to find it in the mixer.
func (h *host) streamName() string { return fmt.Sprintf("rollready %d", h.opened.Add(1)) }

// stream is one opened device.
type stream struct {
	host    *host
	name    string // in the sound system's mixer
	device  *malgo.Device
	hold    *hold         // where blocks of an input may wait, nil if they can't
	done    chan struct{} // closed when the device says it stopped
	stopped sync.Once
	closing sync.Once
	closed  error
}

// open opens a device in float32 at the given format and buffering. onBlock runs on the
// device's own thread: the block it gets is the device's.
func (h *host) open(d direction, of Info, f capture.Format, b buffering, onBlock func(block []float32)) (*stream, error) {
	s := &stream{host: h, name: h.streamName(), done: make(chan struct{})}
	id := h.id(of)
	config := malgo.DefaultDeviceConfig(d.number())
	config.SampleRate = uint32(f.RateHz)
	config.PeriodSizeInMilliseconds, config.Periods = uint32(b.periodMS(f)), periods
	config.Pulse.StreamNameCapture, config.Pulse.StreamNamePlayback = s.name, s.name
	half := &config.Capture
	if d == output {
		half = &config.Playback
	}
	half.DeviceID, half.Format, half.Channels = unsafe.Pointer(&id), malgo.FormatF32, uint32(f.Channels)
	if d == input {
		if held := newHold(f.RateHz, f.Channels, onBlock); held != nil {
			s.hold, onBlock, config.PUserData = held, held.pass, (*byte)(unsafe.Pointer(held.c))
		}
	}
	calls := malgo.DeviceCallbacks{Data: dataProc(d, f.Channels, onBlock), Stop: s.markStopped}
	h.hold()
	err := h.call(func() (err error) {
		var pin runtime.Pinner // the config carries the id's address into C
		defer pin.Unpin()
		pin.Pin(&id)
		if s.device, err = malgo.InitDevice(h.ctx.Context, config, calls); err == nil && s.hold != nil && !s.hold.take(address(s.device)) {
			s.hold = nil
		}
		return err
	}, func() { s.free() })
	if err != nil {
		h.release()
		return nil, err
	}
	return s, nil
}

// address is the library's device, which the binding keeps to itself.
func address(d *malgo.Device) unsafe.Pointer { return **(**unsafe.Pointer)(unsafe.Pointer(d)) }

func dataProc(d direction, channels int, onBlock func([]float32)) malgo.DataProc {
	return func(out, in []byte, frames uint32) {
		raw := in
		if d == output {
			raw = out
		}
		if n := int(frames) * channels; n > 0 && len(raw) >= 4*n {
			onBlock(unsafe.Slice((*float32)(unsafe.Pointer(&raw[0])), n))
		}
	}
}

func (s *stream) markStopped() { s.stopped.Do(func() { close(s.done) }) }

func (s *stream) start() error { return within(callLimit, s.device.Start, nil) }

// close frees the device on a goroutine of its own and waits a little for
// it. A device that hangs is left behind with its context.
func (s *stream) close() error {
	s.closing.Do(func() {
		s.markStopped()
		s.closed = within(closeLimit, func() error { s.free(); return nil }, nil)
	})
	return s.closed
}

func (s *stream) free() {
	if s.device != nil {
		_ = s.device.Stop() // wakes a PulseAudio thread that waits for a vanished device
		s.device.Uninit()
		runtime.KeepAlive(s.hold) // whose memory the device's thread wrote to
	}
	s.host.release()
}
