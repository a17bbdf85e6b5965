// Command tenlines opens the default microphone with the same library and
// period as the program and does nothing: what sound costs at least.
package main

import "github.com/gen2brain/malgo"

func main() {
	ctx, err := malgo.InitContext([]malgo.Backend{malgo.BackendPulseaudio}, malgo.ContextConfig{}, nil)
	if err != nil {
		panic(err)
	}
	config := malgo.DefaultDeviceConfig(malgo.Capture)
	config.PeriodSizeInMilliseconds, config.Periods, config.Capture.Format, config.Capture.Channels = 10, 8, malgo.FormatF32, 2
	config.SampleRate = 48000
	device, err := malgo.InitDevice(ctx.Context, config, malgo.DeviceCallbacks{Data: func(_, _ []byte, _ uint32) {}})
	if err != nil {
		panic(err)
	}
	if err := device.Start(); err != nil {
		panic(err)
	}
	select {}
}
