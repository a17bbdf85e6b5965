package wavfile_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// A file appears at once and whole when its writer is closed; it is read back
// in blocks of whole frames.
func Example() {
	dir, err := os.MkdirTemp("", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "two frames.wav")
	if err := write(path, 0.5, -0.25, 0, 1); err != nil {
		fmt.Println(err)
		return
	}

	r, err := wavfile.Open(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer r.Close()
	fmt.Println(r.Format().RateHz, "Hz,", r.Format().Channels, "channels,", r.Frames(), "frames,", r.Encoding())
	block := make([]float32, 512*r.Format().Channels)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.3f\n", block[:n*r.Format().Channels]) // full scale, 1, is one step more than 24 bits hold
	}
	// Output:
	// 48000 Hz, 2 channels, 2 frames, 24-bit
	// [0.500 -0.250 0.000 1.000]
}

func write(path string, samples ...float32) error {
	w, err := wavfile.Create(path, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24)
	if err != nil {
		return err
	}
	if err := w.Write(samples); err != nil {
		w.Abort()
		return err
	}
	return w.Close()
}
