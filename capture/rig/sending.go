package rig

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rescue"
)

// sounding is an output device that plays what a generator makes.
type sounding struct {
	output *device.Output
	calls  atomic.Int64 // blocks the device asked for
	fault  atomic.Pointer[string]
}

// silentAfter is how long an output may ask for nothing before it is given up.
const silentAfter = 3 * time.Second

func (s *sounding) format() capture.Format { return s.output.Format() }
func (s *sounding) name() string           { return s.output.Info().Name }

// start plays what fill makes; fill runs on the audio thread.
func (s *sounding) start(fill func(block []float32)) error {
	return s.output.Start(s.guarded(fill))
}

func (s *sounding) guarded(fill func(block []float32)) func(block []float32) {
	return func(block []float32) {
		defer s.catch()
		s.calls.Add(1)
		if s.fault.Load() == nil {
			fill(block)
		}
	}
}

// catch keeps a mistake in what fills from ending the program on a foreign
// thread; the output is silent from then on.
func (s *sounding) catch() {
	if cause := recover(); cause != nil {
		text := fmt.Sprintf("the output stopped by a mistake of the program's own: %v (%s)", cause, rescue.Place())
		s.fault.CompareAndSwap(nil, &text)
	}
}

// each calls do every tenth of a second until it says that it is done, the
// context ends, or the device stops.
func (s *sounding) each(ctx context.Context, do func() (done bool)) error {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	calls, since := int64(0), time.Now()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-s.output.Done():
			return errors.New("the output stopped: check the device and send again")
		case <-tick.C:
		}
		if now := s.calls.Load(); now != calls {
			calls, since = now, time.Now()
		} else if time.Since(since) > silentAfter {
			return errors.New("the output takes no sound: check the device and send again")
		}
		if fault := s.fault.Load(); fault != nil {
			return errors.New(*fault)
		}
		if do() {
			return nil
		}
	}
}

func (s *sounding) close() {
	s.output.Close()
}
