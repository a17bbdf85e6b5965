package device

import (
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"rollready/capture/mixer"
)

// ErrNoOutput means that no usable output device exists.
var ErrNoOutput = errors.New("no usable output device: connect headphones, or the cable to the camera")

// System is the sound system of this computer. Make one per process and pass
// it on. Safe for any goroutine; every call returns within a few seconds,
// even where the sound system hangs.
type System struct {
	mixer  *mixer.Watch
	opened atomic.Int64 // streams so far, which gives each a name of its own

	mu   sync.Mutex
	host *host
}

// NewSystem touches no device yet. start starts goroutines, as rescue.Rescue
// does; nil: go.
func NewSystem(start func(f func())) *System { return &System{mixer: mixer.NewWatch(start)} }

// Close lets go of the sound system. Devices still open stay so until closed.
func (s *System) Close() {
	s.mixer.Close()
	s.mu.Lock()
	defer s.mu.Unlock()
	s.drop()
}

// Inputs lists the inputs with their native rates and channels.
func (s *System) Inputs() ([]Info, error) { return s.detailed(input) }

// Outputs lists the outputs likewise.
func (s *System) Outputs() ([]Info, error) { return s.detailed(output) }

// OutputVolume gives what the sound system does to all that goes to the
// output of a Key, as last read: at once, and nothing in the first second.
func (s *System) OutputVolume(key string) mixer.Setting {
	_, id, _ := cutKey(key)
	return s.mixer.Now().Output(id)
}

func (s *System) detailed(d direction) ([]Info, error) {
	var (
		h     *host
		found []Info
	)
	err := insist(d.none(), func(again bool) (err error) {
		if h, found, err = s.list(d, "", again); err != nil {
			return err
		}
		if found = devices(found); len(found) == 0 {
			h.release()
			return d.none()
		}
		return nil
	}, func() bool { return served(d) })
	switch {
	case errors.Is(err, d.none()):
		return nil, nil
	case err != nil:
		return nil, err
	}
	defer h.release()
	for i := range found {
		if with, err := h.detail(d, found[i]); err == nil { // a device in use elsewhere may refuse to tell
			found[i] = with
		}
	}
	return found, nil
}

// list gives the devices, plugins among them, and the connection, which the
// caller must release.
func (s *System) list(d direction, backend string, fresh bool) (*host, []Info, error) {
	h, err := s.connected(backend, fresh)
	if err != nil {
		return nil, nil, err
	}
	found, err := h.list(d)
	if err == nil {
		return h, found, nil
	}
	h.release()
	if fresh {
		return nil, nil, err
	}
	return s.list(d, backend, true) // the connection may be stale
}

// find chooses by what the user said. A Key gets the backend it names. The
// caller must release the connection.
func (s *System) find(d direction, choice string) (h *host, chosen Info, err error) {
	backend, _, _ := cutKey(choice)
	err = insist(d.none(), func(again bool) (err error) {
		var found []Info
		if h, found, err = s.list(d, backend, again); err != nil {
			return err
		}
		if chosen, err = choose(d, choice, found); err != nil {
			h.release()
		}
		return err
	}, func() bool { return served(d) })
	return h, chosen, err
}

// findAgain looks, with a new connection, for a device known before. The
// caller must release the connection.
func (s *System) findAgain(d direction, known Info) (*host, Info, error) {
	h, found, err := s.list(d, known.Backend, true)
	if err != nil {
		return nil, Info{}, err
	}
	if i, ok := again(known, found); ok {
		return h, i, nil
	}
	h.release()
	return nil, Info{}, fmt.Errorf("%s %q is not there: connect it", d, known.Name)
}

// connected gives the present connection, or a new one where it is asked
// for, is stuck, or belongs to another backend; "" takes the first backend
// that answers. The caller must release it.
func (s *System) connected(backend string, fresh bool) (*host, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if h := s.host; h != nil && !fresh && !h.stuck.Load() && (backend == "" || backend == h.backend) {
		h.hold()
		return h, nil
	}
	s.drop()
	candidates := backends(runtime.GOOS)
	if backend != "" {
		candidates = []string{backend}
	}
	var failed error
	for _, b := range candidates {
		h, err := connect(b)
		switch {
		case err == nil:
			h.opened = &s.opened
			s.host = h
			h.hold()
			return h, nil
		case errors.Is(err, ErrHung):
			return nil, err
		case failed == nil:
			failed = err
		default:
			failed = fmt.Errorf("%w; %w", failed, err)
		}
	}
	return nil, failed
}

func (s *System) drop() {
	if s.host != nil {
		s.host.retire()
		s.host = nil
	}
}
