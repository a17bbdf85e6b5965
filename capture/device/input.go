package device

import (
	"fmt"
	"sync"
	"sync/atomic"

	"rollready/capture"
	"rollready/capture/mixer"
)

// Input opens one chosen input, as often as needed: the first time by the
// choice, from then on only the very same device.
type Input struct {
	system *System
	choice string

	remembered Info // the device to prefer; zero: go by the choice

	opening sync.Mutex
	opened  atomic.Pointer[Info] // once set, never take another device
}

// Input prepares to open an input: "" (the default), part of a name in any
// case, an id, or a Key. name is the name the device had when it was last
// used, "" if unknown: with a Key, a device of that name wins over another
// one that now sits at the id, unless it had a twin then.
func (s *System) Input(choice, name string, twin bool) *Input {
	return &Input{system: s, choice: choice, remembered: knownBy(choice, name, twin)}
}

// knownBy is the device a Key and a name speak of.
func knownBy(key, name string, twin bool) Info {
	backend, id, isKey := cutKey(key)
	if !isKey || name == "" {
		return Info{}
	}
	return Info{Backend: backend, ID: id, Name: name, Twin: twin}
}

// Info describes the device last opened; ok is false while none was.
func (in *Input) Info() (i Info, ok bool) {
	if last := in.opened.Load(); last != nil {
		return *last, true
	}
	return Info{}, false
}

// Open opens the device at its native rate and with all its channels. It is
// not started yet. capture.ErrNoInput where no usable input exists; otherwise
// the error says what is wrong in words for the user.
func (in *Input) Open() (capture.Source, error) {
	in.opening.Lock()
	defer in.opening.Unlock()
	h, chosen, err := in.find()
	if err != nil {
		return nil, err
	}
	defer h.release()
	if chosen, err = h.detail(input, chosen); err != nil {
		return nil, err
	}
	src, err := in.system.open(h, chosen)
	if err != nil {
		return nil, notOpened(input, chosen, err)
	}
	in.opened.Store(&chosen)
	return src, nil
}

func (sys *System) open(h *host, of Info) (capture.Source, error) {
	if of.Backend == "pulseaudio" {
		if wide, err := openWide(sys.mixer, h.streamName(), of); err != nil || wide != nil {
			return wide, err
		}
	}
	src := &source{mixer: sys.mixer, of: of, format: of.format()}
	var err error
	src.stream, err = h.open(input, of, src.format, prompt, src.onBlock)
	return src, err
}

func (in *Input) find() (*host, Info, error) {
	if last, ok := in.Info(); ok {
		return in.system.findAgain(input, last)
	}
	if in.remembered.Name != "" {
		if h, found, err := in.system.findAgain(input, in.remembered); err == nil {
			return h, found, nil
		}
	}
	return in.system.find(input, in.choice)
}

// source is an opened input: a capture.Source.
type source struct {
	*stream
	mixer   *mixer.Watch
	of      Info
	format  capture.Format
	deliver func(block []float32) // set before the device starts, read by its thread
}

func (s *source) Name() string { return s.of.Name }

// Which tells the device from others: its Key, and its Mark where another has its
// name.
func (s *source) Which() (key, mark string) { return s.of.Key(), s.of.Mark }

// Monitor tells that it is what an output plays, no microphone.
func (s *source) Monitor() bool          { return s.of.Monitor }
func (s *source) Kind() capture.Kind     { return capture.Device }
func (s *source) Format() capture.Format { return s.format }
func (s *source) Done() <-chan struct{}  { return s.done }
func (s *source) Close() error           { return s.close() }

func (s *source) Start(deliver func(block []float32)) error {
	s.deliver = deliver
	if err := s.start(); err != nil {
		return fmt.Errorf("start input %q: %w", s.of.Name, err)
	}
	return nil
}

// Wait lets the device's blocks wait for Collect: see capture.Waiter.
func (s *source) Wait(on bool) bool {
	if s.hold == nil {
		return false
	}
	s.hold.wait(on)
	return on
}

// Collect delivers what waits: see capture.Waiter.
func (s *source) Collect(frames int) (dropped int64, more bool) {
	if s.hold == nil {
		return 0, false
	}
	return s.hold.collect(frames)
}

// Mixed gives what the sound system does to the sound after the converter, as
// last read: at once, and nothing in the first second.
func (s *source) Mixed() mixer.Setting {
	return s.mixer.Now().From(s.of.ID, s.stream.name)
}

func (s *source) onBlock(block []float32) { s.deliver(block) }
