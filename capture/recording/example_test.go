package recording_test

import (
	"context"
	"errors"
	"fmt"
	"io"

	"rollready/capture/recording"
)

// A recording of any kind is read in blocks of whole frames.
func Example() {
	r, err := recording.Open(context.Background(), "testdata/stereo16.flac")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer r.Close()
	f := r.Format()
	fmt.Println(f.RateHz, "Hz,", f.Channels, "channels,", r.Frames(), "frames,", r.Encoding())

	peak, block := float32(0), make([]float32, 512*f.Channels)
	for {
		n, err := r.Read(block)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, x := range block[:n*f.Channels] {
			peak = max(peak, x, -x)
		}
	}
	fmt.Printf("peak %.2f\n", peak)
	// Output:
	// 48000 Hz, 2 channels, 2000 frames, 16-bit
	// peak 0.50
}
