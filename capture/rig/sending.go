package rig

import (
	"context"
	"errors"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/pulse"
	"rollready/capture/rescue"
	"rollready/presets"
)

// sounding is an output device that plays what a generator makes.
type sounding struct {
	output *device.Output
	calls  atomic.Int64 // blocks the device asked for
	fault  rescue.Fault
}

// silentAfter is how long an output may ask for nothing before it is given up.
const silentAfter = 3 * time.Second

func (s *sounding) format() capture.Format { return s.output.Format() }
func (s *sounding) is() presets.Output     { return s.output.Info().Output() }

// start plays what fill makes; fill runs on the audio thread.
func (s *sounding) start(fill func(block []float32)) error {
	return s.output.Start(s.guarded(fill))
}

func (s *sounding) guarded(fill func(block []float32)) func(block []float32) {
	return func(block []float32) {
		defer s.fault.Catch()
		s.calls.Add(1)
		if !s.fault.Raised() {
			fill(block)
		}
	}
}

// each calls do every tenth of a second until it says that it is done, the
// context ends, or the device stops.
func (s *sounding) each(ctx context.Context, do func() (done bool)) error {
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	var asked pulse.Pulse
	asked.Begin(time.Now())
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-s.output.Done():
			return errors.New("the output stopped: check the device and send again")
		case <-tick.C:
		}
		now := time.Now()
		if asked.Look(now, s.calls.Load()); asked.Still(now) > silentAfter {
			return errors.New("the output takes no sound: check the device and send again")
		}
		if s.fault.Raised() {
			return errors.New("the output stopped by a mistake of the program's own: " + s.fault.Text())
		}
		if do() {
			return nil
		}
	}
}

func (s *sounding) close() {
	s.output.Close()
}
