package rig_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"rollready/capture"
	"rollready/capture/demo"
	"rollready/capture/rig"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
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
	settings.Chain.GainDB = 3
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
	//  4 s: input -6.9 dBFS, camera -3.9 dBFS
	//  8 s: input -15.6 dBFS, camera -12.6 dBFS
	// 12 s: input -11.4 dBFS, camera -8.4 dBFS
}

// record writes the first twelve seconds of the demo scene.
func record(path string) error {
	w, err := wavfile.Create(path, capture.Format{RateHz: rig.DemoRateHz, Channels: 2}, wavfile.PCM24)
	if err != nil {
		return err
	}
	scene, block := demo.NewScene(rig.DemoRateHz), make([]float32, 2*rig.DemoRateHz)
	for range 12 {
		scene.Read(block)
		if err := w.Write(block); err != nil {
			return err
		}
	}
	return w.Close()
}
