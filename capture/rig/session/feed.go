package session

import (
	"os"
	"runtime"
	"sync/atomic"

	"rollready/capture"
	"rollready/capture/rescue"
	"rollready/capture/ring"
	"rollready/dsp/strips"
)

const (
	biteFrames  = 1024 // longest stretch the callback handles at once
	ringSeconds = 1    // how late the analysis may come

	collectFrames = 4 * biteFrames // that waited at the source, at once
)

// audio is what the audio thread shares with the rest, whatever the source.
type audio struct {
	current   atomic.Pointer[feed]   // the feed that may write to the taps
	tapping   atomic.Bool            // held while a block goes to the taps
	taps      atomic.Pointer[[]*Tap] // an immutable list
	sink      atomic.Pointer[sinking]
	dropouts  atomic.Int64
	sanitised atomic.Int64
	fault     rescue.Fault
	ears      strips.Ears
}

// feed takes one source's blocks. A source that was given up may still call
// it: it then writes to rings that nobody reads.
type feed struct {
	*audio
	source  capture.Source
	frames  atomic.Int64 // delivered so far
	wiring  atomic.Pointer[wiring]
	holding bool // this thread holds tapping
}

// wiring is what a block passes, for one choice of channels.
type wiring struct {
	format         capture.Format // as picked
	picker         *capture.Picker
	picked         strips.Channels
	bank           *strips.Bank
	block          []float32
	dry            []float32  // the block before the chain, as late as behind it, for a sink
	camera, phones []float32  // stereo
	in, out, feed  *ring.Ring // written and read in step
}

func newWiring(src capture.Format, pick capture.Pick, set strips.Settings) (*wiring, error) {
	picker, err := capture.NewPicker(pick, src.Channels)
	if err != nil {
		return nil, err
	}
	w := &wiring{format: capture.Format{RateHz: src.RateHz, Channels: picker.Channels()}, picker: picker}
	w.picked = strips.ChannelsOf(picker.Channels(), picker.Sources())
	w.bank = strips.NewBank(src.RateHz, w.format.Channels)
	w.bank.Set(set)
	w.block = make([]float32, biteFrames*w.format.Channels)
	w.dry = make([]float32, biteFrames*w.format.Channels)
	w.camera, w.phones = make([]float32, 2*biteFrames), make([]float32, 2*biteFrames)
	w.in = ring.New(ringSeconds*src.RateHz, w.format.Channels)
	w.out = ring.New(ringSeconds*src.RateHz, w.format.Channels)
	w.feed = ring.New(ringSeconds*src.RateHz, 2)
	return w, nil
}

// deliver is the audio callback: it must not allocate, lock, block or log.
func (f *feed) deliver(block []float32) {
	defer f.fault.Catch()
	channels := f.source.Format().Channels
	f.frames.Add(int64(len(block) / channels))
	if f.fault.Raised() {
		return
	}
	w := f.wiring.Load()
	f.holding = f.current.Load() == f && f.tapping.CompareAndSwap(false, true)
	defer f.letGo()
	for len(block) > 0 {
		bite := block[:min(len(block), biteFrames*channels)]
		f.pass(w, bite)
		block = block[len(bite):]
	}
}

// pass runs up to biteFrames frames through the wiring.
func (f *feed) pass(w *wiring, bite []float32) {
	picked := w.picker.Copy(w.block, bite)
	if n := capture.Sanitise(picked); n > 0 {
		f.sanitised.Add(n)
	}
	frames := len(picked) / w.format.Channels
	fits := min(w.in.Free(), w.out.Free(), w.feed.Free(), frames)
	if fits < frames {
		f.dropouts.Add(int64(frames - fits))
	}
	metered := picked[:fits*w.format.Channels]
	w.in.Write(metered)
	f.tap(w, picked, (*Tap).writeInput)
	dry, camera, phones := w.dry[:copy(w.dry, picked)], w.camera[:2*frames], w.phones[:2*frames]
	w.bank.Process(strips.Block{Raw: dry, Strips: picked, Camera: camera, Phones: phones})
	if sink := f.sinkFor(w); sink != nil {
		sink.MixSlate(picked, camera, phones)
		sink.Feed(dry, picked)
	}
	w.out.Write(metered)
	w.feed.Write(camera[:2*fits])
	f.tap(w, picked, (*Tap).writeOutput)
	f.tap(w, camera, (*Tap).writeCamera)
	f.tap(w, phones, (*Tap).writePhones)
}

func (f *feed) tap(w *wiring, block []float32, write func(*Tap, []float32)) {
	if !f.holding {
		return
	}
	for _, t := range *f.taps.Load() {
		if t.fits(w.format) {
			write(t, block)
		}
	}
}

// wait lets the source's blocks wait until they are collected, where it can
// and nobody listens to what comes now.
func (f *feed) wait(nobody bool) {
	w, can := f.source.(capture.Waiter)
	if can = can && w.Wait(nobody); !can && f.source.Kind() == capture.Device {
		keepSpareProcessors()
	}
}

// collect delivers frames that wait at the source, on the loop's goroutine,
// and tells whether more do.
func (f *feed) collect() (more bool) {
	w, can := f.source.(capture.Waiter)
	if !can {
		return false
	}
	lost, more := w.Collect(collectFrames)
	f.dropouts.Add(lost)
	return more
}

func (f *feed) letGo() {
	if f.holding {
		f.holding = false
		f.tapping.Store(false)
	}
}

// keepSpareProcessors lets the audio callback find a free processor: with
// every one busy it was measured to wait up to 67 ms, with a spare one 0.05 ms.
// A user's own GOMAXPROCS is left alone.
func keepSpareProcessors() {
	const enough = 4
	if os.Getenv("GOMAXPROCS") == "" && runtime.GOMAXPROCS(0) < enough {
		runtime.GOMAXPROCS(enough)
	}
}
