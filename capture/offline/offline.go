// Package offline takes a file the way a live input goes, as fast as it can be
// read: sanitise, pick channels, chain. The frames that come out are those a
// session would give its meters.
package offline

import (
	"rollready/capture"
	"rollready/capture/recording"
	"rollready/dsp/strips"
)

// blockFrames is how much Next gives at most.
const blockFrames = 4096

// Run reads one file through a chain. One goroutine uses it.
type Run struct {
	reader  recording.Reader
	picker  *capture.Picker
	bank    *strips.Bank
	raw     []float32
	in, out []float32
	camera  []float32
	late    []float32

	Sanitised int64 // samples that were not finite and became silence
}

// New prepares to read from where the reader stands. The error names a
// channel that the file lacks.
func New(r recording.Reader, p capture.Pick, set strips.Settings) (*Run, error) {
	format := r.Format()
	picker, err := capture.NewPicker(p, format.Channels)
	if err != nil {
		return nil, err
	}
	n := picker.Channels()
	bank := strips.NewBank(format.RateHz, n)
	bank.Set(set)
	return &Run{reader: r, picker: picker, bank: bank,
		raw:    make([]float32, blockFrames*format.Channels),
		in:     make([]float32, blockFrames*n),
		out:    make([]float32, blockFrames*n),
		late:   make([]float32, blockFrames*n),
		camera: make([]float32, blockFrames*2)}, nil
}

// Format is that of the frames that Next gives: the picked channels.
func (r *Run) Format() capture.Format {
	return capture.Format{RateHz: r.reader.Format().RateHz, Channels: r.picker.Channels()}
}

// Picked are the channels that are read, from 1.
func (r *Run) Picked() strips.Channels {
	return strips.ChannelsOf(r.picker.Channels(), r.picker.Sources())
}

// Next gives the next frames before and after the strips, up to so many, and
// what the camera gets, stereo, nil where that is what leaves the strips. They
// are valid until the next call. io.EOF comes alone at the end.
func (r *Run) Next(frames int) (in, out, fed []float32, err error) {
	channels := r.reader.Format().Channels
	n, err := r.reader.Read(r.raw[:min(frames, blockFrames)*channels])
	if err != nil {
		return nil, nil, nil, err
	}
	in = r.picker.Copy(r.in, r.raw[:n*channels])
	r.Sanitised += capture.Sanitise(in)
	out = r.out[:len(in)]
	copy(out, in)
	fed = r.camera[:2*n]
	r.bank.Process(strips.Block{Raw: r.late[:copy(r.late, in)], Strips: out, Camera: fed})
	if r.bank.Direct() {
		fed = nil
	}
	return in, out, fed, nil
}
