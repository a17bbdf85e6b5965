package device

import (
	"fmt"

	"rollready/capture"
	"rollready/capture/mixer"
)

// Output is an opened output device: headphones, or the way to the camera.
type Output struct {
	*stream
	mixer  *mixer.Watch
	info   Info
	format capture.Format
	buffer buffering
	fill   func(block []float32) // set before the device starts, read by its thread
}

// OpenOutput opens an output chosen like an input. rateHz 0 takes the
// device's native rate, channels 0 its native channels; otherwise the sound
// system converts. The device is silent until Start.
func (s *System) OpenOutput(choice string, rateHz, channels int) (*Output, error) {
	return s.openOutput(choice, rateHz, channels, prompt)
}

// OpenSteadyOutput opens an output, in its native format, that holds more
// sound than usual: for a signal that must not break off and nobody plays to
// by ear.
func (s *System) OpenSteadyOutput(choice string) (*Output, error) {
	return s.openOutput(choice, 0, 0, steady)
}

func (s *System) openOutput(choice string, rateHz, channels int, b buffering) (*Output, error) {
	h, chosen, err := s.find(output, choice)
	if err != nil {
		return nil, err
	}
	defer h.release()
	if chosen, err = h.detail(output, chosen); err != nil {
		return nil, err
	}
	o := &Output{mixer: s.mixer, info: chosen, format: chosen.format(), buffer: b}
	if rateHz > 0 {
		o.format.RateHz = rateHz
	}
	if channels > 0 {
		o.format.Channels = channels
	}
	if o.stream, err = h.open(output, chosen, o.format, b, o.onBlock); err != nil {
		return nil, notOpened(output, chosen, err)
	}
	return o, nil
}

// Info describes the device.
func (o *Output) Info() Info { return o.info }

// Format is that of the blocks to be filled.
func (o *Output) Format() capture.Format { return o.format }

// PeriodFrames is the number of frames the device asks for at a time.
func (o *Output) PeriodFrames() int {
	return o.format.RateHz * o.buffer.periodMS(o.format) / 1000
}

// Volume gives what the sound system does to what is played here, on the
// stream and on the device together, as last read: at once, and nothing in
// the first second.
func (o *Output) Volume() mixer.Setting {
	return o.mixer.Now().Through(o.info.ID, o.stream.name)
}

// Start begins to call fill, on the device's own thread, until Close: it must
// fill the whole block, which is silent when it comes, and must not block,
// lock or allocate.
func (o *Output) Start(fill func(block []float32)) error {
	o.fill = fill
	if err := o.start(); err != nil {
		return fmt.Errorf("start output %q: %w", o.info.Name, err)
	}
	return nil
}

// Done is closed when the device said that it stopped. A device that falls
// silent may never say so: watch that fill is called.
func (o *Output) Done() <-chan struct{} { return o.done }

// Close stops the device. It returns within a second even where the sound
// server hangs, and may be called twice.
func (o *Output) Close() error { return o.close() }

func (o *Output) onBlock(block []float32) { o.fill(block) }
