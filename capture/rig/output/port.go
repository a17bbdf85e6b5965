package output

import (
	"errors"
	"fmt"
	"sync/atomic"

	"rollready/presets"
)

// port is one opened device. A device that was given up may still call it: it
// then plays silence.
type port struct {
	way     *Way
	device  Device
	is      presets.Output
	stage   atomic.Pointer[stage] // nil: silence
	blocks  atomic.Int64          // asked for by the device
	earcons player                // these two are the audio thread's own
	fader   volume
}

// opening is the result of an attempt to open and start a device.
type opening struct {
	port *port
	err  error
}

// open opens and starts a device, which is silent for now. It may take seconds.
func (w *Way) open() opening {
	d, is, err := w.options.Open()
	if err != nil {
		return opening{err: err}
	}
	if d.Format().Channels < 1 || d.Format().RateHz < 1 {
		d.Close()
		return opening{err: fmt.Errorf("output %q: %w", is.Name, errors.New("the device has no channels: choose another"))}
	}
	p := &port{way: w, device: d, is: is}
	p.fader.init(&w.level, w.options.Camera)
	if !w.options.Camera {
		p.earcons = newPlayer(&w.asked, d.Format().RateHz)
	}
	if err := d.Start(p.fill); err != nil {
		d.Close()
		return opening{err: fmt.Errorf("output %q: %w", is.Name, err)}
	}
	return opening{port: p}
}

// fill is the device's callback: it must not allocate, lock, block or log.
func (p *port) fill(block []float32) {
	defer p.way.fault.Catch()
	p.blocks.Add(1)
	if p.way.fault.Raised() {
		return
	}
	if st := p.stage.Load(); st != nil {
		st.fill(block)
	}
	f := p.device.Format()
	p.earcons.mix(block, f.Channels)
	p.fader.apply(&p.way.level, block, f)
}
