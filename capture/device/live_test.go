//go:build linux

package device_test

import (
	"fmt"
	"math"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/soundtest"
)

// level is the AES17 rms level of one channel over a run of blocks, published
// by the audio thread every 4800 frames or so.
type level struct {
	channels int
	sum      []float64
	frames   int
	rms      []atomic.Uint64
	blocks   atomic.Int64
}

func newLevel(channels int) *level {
	return &level{channels: channels, sum: make([]float64, channels), rms: make([]atomic.Uint64, channels)}
}

func (l *level) add(block []float32) {
	for i, x := range block {
		l.sum[i%l.channels] += float64(x) * float64(x)
	}
	l.blocks.Add(1)
	if l.frames += len(block) / l.channels; l.frames < 4800 {
		return
	}
	for c := range l.sum {
		l.rms[c].Store(math.Float64bits(10 * math.Log10(2*l.sum[c]/float64(l.frames))))
		l.sum[c] = 0
	}
	l.frames = 0
}

func (l *level) dbfs(c int) float64 { return math.Float64frombits(l.rms[c].Load()) }

func system(t *testing.T) *device.System {
	sys := device.NewSystem()
	t.Cleanup(sys.Close)
	return sys
}

func open(t *testing.T, in *device.Input) capture.Source {
	t.Helper()
	src, err := in.Open()
	require.NoError(t, err)
	t.Cleanup(func() { src.Close() })
	return src
}

// A sine of amplitude 0.1 reads −20 dBFS after AES17, through the sound
// server and the binding, at each rate, unconverted.
func TestToneReadsItsLevel(t *testing.T) {
	for _, hz := range []int{44100, 48000, 96000} {
		t.Run(fmt.Sprintf("%d Hz", hz), func(t *testing.T) {
			server := soundtest.Start(t, capture.Format{RateHz: hz, Channels: 2})
			server.Tone(t, 1000, 0.1)
			src := open(t, system(t).Input("field", ""))
			require.Equal(t, soundtest.MicName, src.Name())
			require.Equal(t, capture.Device, src.Kind())
			require.Equal(t, capture.Format{RateHz: hz, Channels: 2}, src.Format())
			heard := newLevel(2)
			require.NoError(t, src.Start(heard.add))
			require.Eventually(t, func() bool {
				return math.Abs(heard.dbfs(0)+20) < 0.1 && math.Abs(heard.dbfs(1)+20) < 0.1
			}, 10*time.Second, 10*time.Millisecond)
			began := time.Now()
			require.NoError(t, src.Close())
			require.NoError(t, src.Close(), "twice")
			t.Logf("%.3f dBFS, %.3f dBFS; closed in %v", heard.dbfs(0), heard.dbfs(1), time.Since(began))
		})
	}
}

// Every channel of an interface with many arrives in its place and at its
// level: a tone at −20, −23, … dBFS on each.
func TestManyChannelsKeepTheirPlaces(t *testing.T) {
	const channels = 8
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: channels})
	frame := 0
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		for i := range block {
			amplitude := math.Pow(10, -(20+3*float64(i%channels))/20)
			block[i] = float32(amplitude * math.Sin(2*math.Pi*1000*float64(frame+i/channels)/48000))
		}
		frame += len(block) / channels
		return len(block)
	})
	src := open(t, system(t).Input("", ""))
	require.Equal(t, channels, src.Format().Channels)
	heard := newLevel(channels)
	require.NoError(t, src.Start(heard.add))
	for c := range channels {
		require.Eventually(t, func() bool { return math.Abs(heard.dbfs(c)+20+3*float64(c)) < 0.1 }, 10*time.Second, 10*time.Millisecond,
			"channel %d reads %v dBFS", c+1, heard.dbfs(c))
	}
}
