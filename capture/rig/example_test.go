package rig_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/presets"
)

// A file goes the way a live input goes: through the chain, the meters and the
// judgement. Every tenth of a second the state says what a face would show.
func ExampleOpenPass() {
	path := filepath.Join(os.TempDir(), "rollready-example.wav")
	defer os.Remove(path)
	if err := record(path); err != nil {
		fmt.Println(err)
		return
	}
	settings := presets.DefaultSettings()
	settings.Strips.Set(0, chain.Settings{GainDB: 3})
	pass, err := rig.OpenPass(context.Background(), rig.Options{
		Settings: settings,
		Camera:   presets.Camera{Name: "b camera", Scale: camera.Default},
		Input:    rig.Input{Choice: rig.FilePrefix + path, Pick: capture.Auto},
		Warn:     func(error) {},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer pass.Close()
	for range 3 {
		s, _, _, err := pass.Next(4 * pass.RateHz())
		if err != nil {
			fmt.Println(err)
			return
		}
		seconds := s.Reading.Frames / int64(s.Reading.RateHz)
		fmt.Printf("%2d s: input %.1f dBFS, camera %.1f dBFS\n", seconds, s.Reading.Input[0].HoldDBFS, s.Reading.Camera[0].HoldDBFS)
		_ = s.Sentence.Text() // the one thing to do
	}
	// Output:
	//  4 s: input -30.0 dBFS, camera -27.0 dBFS
	//  8 s: input -20.0 dBFS, camera -17.0 dBFS
	// 12 s: input -12.0 dBFS, camera -9.0 dBFS
}

// record writes a tone of 1 kHz: four seconds each at −30, −20 and −12 dBFS.
func record(path string) error {
	const rateHz = 48000
	w, err := wavfile.Create(path, capture.Format{RateHz: rateHz, Channels: 1}, wavfile.PCM24)
	if err != nil {
		return err
	}
	block := make([]float32, 4*rateHz)
	for _, dbfs := range []float64{-30, -20, -12} {
		for i := range block {
			block[i] = float32(math.Pow(10, dbfs/20) * math.Sin(2*math.Pi*1000*float64(i)/rateHz))
		}
		if err := w.Write(block); err != nil {
			return err
		}
	}
	return w.Close()
}
