package pace

import (
	"errors"
	"io"
	"sync"
	"time"

	"rollready/capture"
	"rollready/capture/rescue"
)

// blocksPerSecond sets the size of the delivered blocks: 10 ms.
const blocksPerSecond = 100

// patience is how far the rhythm may fall behind before it starts anew. A
// laptop that slept must not deliver the missed time in one burst.
const patience = time.Second

// Fill writes the next frames into the block and gives their number. io.EOF
// comes alone at the end.
type Fill func(block []float32) (frames int, err error)

// Player calls deliver with blocks from a Fill on a goroutine of its own. It
// is the part of a capture.Source that files and the demo scene share.
type Player struct {
	format   capture.Format
	realTime bool
	fill     Fill
	stop     chan struct{}
	done     chan struct{}
	held     chan struct{} // nil: begins at Start
	start    sync.Once
	end      sync.Once
	err      error // set before done is closed
}

// New makes a player; realTime false delivers without waiting.
func New(f capture.Format, realTime bool, fill Fill) *Player {
	return &Player{format: f, realTime: realTime, fill: fill,
		stop: make(chan struct{}), done: make(chan struct{})}
}

// Format is the layout of the frames.
func (p *Player) Format() capture.Format { return p.format }

// Hold keeps the frames back after Start until play is called, once. Call it
// before Start.
func (p *Player) Hold() (play func()) {
	p.held = make(chan struct{})
	return func() { close(p.held) }
}

// Start begins to deliver. A second Start does nothing.
func (p *Player) Start(deliver func(block []float32)) error {
	p.start.Do(func() { go p.run(deliver) })
	return nil
}

// Done is closed after the last block.
func (p *Player) Done() <-chan struct{} { return p.done }

// Err tells, once Done is closed, why the frames ended before their time; nil
// at the regular end.
func (p *Player) Err() error {
	<-p.done
	return p.err
}

// Close stops delivering and waits for the block under way.
func (p *Player) Close() error {
	p.end.Do(func() { close(p.stop) })
	p.start.Do(func() { close(p.done) }) // never started: nothing to wait for
	<-p.done
	return nil
}

func (p *Player) run(deliver func(block []float32)) {
	defer close(p.done)
	p.err = rescue.Try(func() error { return p.play(deliver) })
}

func (p *Player) play(deliver func(block []float32)) error {
	frames := max(1, p.format.RateHz/blocksPerSecond)
	block := make([]float32, frames*p.format.Channels)
	if p.held != nil {
		select {
		case <-p.held:
		case <-p.stop:
		}
	}
	for due := time.Now(); p.wait(&due); {
		n, err := p.fill(block)
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		deliver(block[:n*p.format.Channels])
		due = due.Add(time.Duration(n) * time.Second / time.Duration(p.format.RateHz))
	}
	return nil
}

// wait returns when the next block is due; false when stopped.
func (p *Player) wait(due *time.Time) bool {
	late := time.Since(*due)
	if late > patience {
		*due = time.Now()
	}
	if !p.realTime || late >= 0 {
		select {
		case <-p.stop:
			return false
		default:
			return true
		}
	}
	timer := time.NewTimer(-late)
	defer timer.Stop()
	select {
	case <-p.stop:
		return false
	case <-timer.C:
		return true
	}
}
