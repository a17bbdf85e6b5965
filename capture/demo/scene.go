package demo

import (
	"math/rand/v2"

	"rollready/capture"
	"rollready/capture/pace"
)

// seed makes the scene repeatable.
const seed = 43

// Levels in amplitude (rms for noise, peak for the hum's fundamental).
const (
	voiceAtCollar, voiceAtCamera = 0.42, 0.2
	windAtCollar, windAtCamera   = 0.012, 0.04
	humLevel                     = 0.003
	hissLevel                    = 0.0002
)

// Channels is the number of the scene's channels.
const Channels = 2

// Scene computes the frames. One goroutine uses it.
type Scene struct {
	voice *voice
	winds [Channels]*wind
	hum   *hum
	noise *rand.Rand
}

// NewScene makes the scene at a sample rate, from its beginning.
func NewScene(rateHz int) *Scene {
	return &Scene{voice: newVoice(rateHz), hum: newHum(rateHz), noise: rand.New(rand.NewPCG(seed, 3)),
		winds: [Channels]*wind{newWind(rateHz, 4), newWind(rateHz, 5)}}
}

// Read fills the block with the next frames. It does not end.
func (s *Scene) Read(block []float32) {
	for i := 0; i+1 < len(block); i += Channels {
		voice, hum := s.voice.next(), humLevel*s.hum.next()
		collar := voiceAtCollar*voice + windAtCollar*s.winds[0].next() + hum + s.hiss()
		camera := voiceAtCamera*voice + windAtCamera*s.winds[1].next() + hum + s.hiss()
		block[i] = converter(collar)
		block[i+1] = converter(camera)
	}
}

func (s *Scene) hiss() float64 { return hissLevel * (2*s.noise.Float64() - 1) }

// converter holds at full scale what is too loud, as an interface does.
func converter(x float64) float32 { return float32(max(-1, min(1, x))) }

// Source plays the scene as if it were a device.
type Source struct{ *pace.Player }

var _ capture.Source = Source{}

// New plays the scene in real time.
func New(rateHz int) Source {
	scene := NewScene(rateHz)
	format := capture.Format{RateHz: rateHz, Channels: Channels}
	return Source{pace.New(format, true, func(block []float32) (int, error) {
		scene.Read(block)
		return len(block) / Channels, nil
	})}
}

// Name says that this is no microphone.
func (Source) Name() string { return "demo scene" }

// Kind is capture.Demo.
func (Source) Kind() capture.Kind { return capture.Demo }
