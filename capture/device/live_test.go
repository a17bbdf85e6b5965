//go:build linux

package device_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/quiet"
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
	sys := device.NewSystem(nil)
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
			src := open(t, system(t).Input("field", "", false))
			require.Equal(t, soundtest.MicName, src.Name())
			require.Equal(t, capture.Device, src.Kind())
			require.Equal(t, capture.Format{RateHz: hz, Channels: 2}, src.Format())
			heard := newLevel(2)
			require.NoError(t, src.Start(heard.add))
			require.Eventually(t, func() bool {
				return math.Abs(heard.dbfs(0)+20) < 0.1 && math.Abs(heard.dbfs(1)+20) < 0.1
			}, time.Minute, 10*time.Millisecond)
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
	src := open(t, system(t).Input("", "", false))
	require.Equal(t, channels, src.Format().Channels)
	heard := newLevel(channels)
	require.NoError(t, src.Start(heard.add))
	for c := range channels {
		require.Eventually(t, func() bool { return math.Abs(heard.dbfs(c)+20+3*float64(c)) < 0.1 }, time.Minute, 10*time.Millisecond,
			"channel %d reads %v dBFS", c+1, heard.dbfs(c))
	}
}

// Blocks that wait and blocks that go on at once come in the order in which
// they were heard, none of them twice, whenever it changes which they do.
func TestBlocksWaitAndGoOnInOrder(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	var said int
	server.Play(t, soundtest.RoomID, func(block []float32) int {
		for i := range block { // frames are numbered
			block[i] = float32(said+i/2) / (1 << 24)
		}
		said += len(block) / 2
		return len(block)
	})
	src := open(t, system(t).Input("field", "", false))
	w, can := src.(capture.Waiter)
	require.True(t, can)
	var heard []float32 // no lock: one thread after the other adds to it
	var frames atomic.Int64
	require.NoError(t, src.Start(func(block []float32) {
		heard = append(heard, block...)
		frames.Add(int64(len(block) / 2))
	}))
	for waits := true; frames.Load() < 96_000; waits = !waits {
		require.Equal(t, waits, w.Wait(waits))
		for range 20 {
			dropped, _ := w.Collect(1000)
			require.Zero(t, dropped)
			time.Sleep(time.Millisecond)
		}
	}
	require.NoError(t, src.Close())
	last, gaps := float32(0), 0
	for i := 0; i < len(heard); i += 2 {
		require.Equal(t, heard[i], heard[i+1], "frames are whole")
		if heard[i] == 0 { // the player had nothing to say
			continue
		}
		require.Greater(t, heard[i], last, "frame %d", i/2)
		if heard[i] != last+1.0/(1<<24) {
			gaps++
		}
		last = heard[i]
	}
	require.Greater(t, last, float32(0))
	t.Logf("%d frames, %d gaps", len(heard)/2, gaps)
}

func TestDevicesAreListedWithWhatTheyAre(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 96000, Channels: 1})
	server.AddMic(t, "spare_mic", "Spare Mic")
	server.AddSink(t, "phones", "Phones", capture.Format{RateHz: 44100, Channels: 2})
	sys := system(t)
	inputs, err := sys.Inputs()
	require.NoError(t, err)
	require.Contains(t, inputs, device.Info{Backend: "pulseaudio", ID: soundtest.MicID, Name: soundtest.MicName, Default: true, RatesHz: []int{96000}, Channels: 1})
	require.Contains(t, inputs, device.Info{Backend: "pulseaudio", ID: "spare_mic", Name: "Spare Mic", RatesHz: []int{96000}, Channels: 1})
	require.Contains(t, inputs, device.Info{Backend: "pulseaudio", ID: "phones.monitor", Name: "Monitor of Phones", Monitor: true, RatesHz: []int{44100}, Channels: 2})
	outputs, err := sys.Outputs()
	require.NoError(t, err)
	require.Contains(t, outputs, device.Info{Backend: "pulseaudio", ID: soundtest.CameraID, Name: soundtest.CameraName, Default: true, RatesHz: []int{96000}, Channels: 1})
	require.Contains(t, outputs, device.Info{Backend: "pulseaudio", ID: "phones", Name: "Phones", RatesHz: []int{44100}, Channels: 2})

	_, err = sys.Input("mic", "", false).Open()
	require.ErrorContains(t, err, `input "mic" could be`)
	_, err = sys.Input("no such", "", false).Open()
	require.ErrorContains(t, err, `input "no such" is not there`)
	in := sys.Input("id:pulseaudio:field_mic", "Spare Mic", false)
	require.Equal(t, "Spare Mic", open(t, in).Name(), "the microphone known by name wins over the place")
	known, opened := in.Info()
	require.True(t, opened)
	require.Equal(t, "id:pulseaudio:spare_mic", known.Key())
}

// With no sound server there is no input: silence from a null device or
// plugin would be a meter that looks alive.
func TestWithoutAServerNothingIsFound(t *testing.T) {
	soundtest.NoServer(t)
	if cards, _ := filepath.Glob("/dev/snd/pcm*"); len(cards) > 0 {
		t.Skip("this computer has sound hardware that can be heard without a server")
	}
	sys := system(t)
	inputs, err := sys.Inputs()
	require.True(t, err != nil || len(inputs) == 0, "%v %v", inputs, err)
	for _, choice := range []string{"", "null", "default", "silence"} {
		_, err = sys.Input(choice, "", false).Open()
		require.ErrorIs(t, err, capture.ErrNoInput, "choice %q", choice)
	}
	_, err = sys.OpenOutput("", 0, 0)
	require.ErrorIs(t, err, device.ErrNoOutput)
}

func TestTwoProgramsHearTheSameMicrophone(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	server.Tone(t, 440, 0.1)
	var heard [2]*level
	for i := range heard {
		heard[i] = newLevel(2)
		require.NoError(t, open(t, system(t).Input("", "", false)).Start(heard[i].add))
	}
	for i := range heard {
		require.Eventually(t, func() bool { return math.Abs(heard[i].dbfs(0)+20) < 0.1 }, time.Minute, 10*time.Millisecond)
	}
	require.Eventually(t, func() bool {
		return math.Abs(rms(server.Record(t, soundtest.MicID, 100*time.Millisecond))-0.0707) < 0.0005
	}, time.Minute, 10*time.Millisecond, "and so does a third")
}

func TestAnOutputPlaysWhatItIsGiven(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	out, err := system(t).OpenOutput("camera", 0, 0)
	require.NoError(t, err)
	t.Cleanup(func() { out.Close() })
	require.Equal(t, soundtest.CameraName, out.Info().Name)
	require.Equal(t, capture.Format{RateHz: 48000, Channels: 2}, out.Format())
	frame := 0
	require.NoError(t, out.Start(func(block []float32) {
		for i := range block {
			block[i] = float32(0.1 * math.Sin(2*math.Pi*1000*float64(frame+i/2)/48000))
		}
		frame += len(block) / 2
	}))
	require.Eventually(t, func() bool {
		return math.Abs(rms(server.Record(t, soundtest.CameraID+".monitor", 100*time.Millisecond))-0.0707) < 0.0005
	}, time.Minute, 10*time.Millisecond)
	require.NoError(t, out.Close())
	require.NoError(t, out.Close(), "twice")
	<-out.Done()
}

// A server that hangs must not hang us: closing gives up after 0.7 s,
// asking for devices after 5 s. The limits leave room for a busy machine.
func TestAHungServerDoesNotHangUs(t *testing.T) {
	server := soundtest.Start(t, capture.Format{RateHz: 48000, Channels: 2})
	sys := system(t)
	src := open(t, sys.Input("", "", false))
	heard := newLevel(2)
	require.NoError(t, src.Start(heard.add))
	require.Eventually(t, func() bool { return heard.blocks.Load() > 0 }, time.Minute, time.Millisecond)
	server.Freeze()
	t.Cleanup(server.Thaw)
	began := time.Now()
	closed := src.Close()
	require.Less(t, time.Since(began), 5*time.Second)
	t.Logf("close: %v after %v", closed, time.Since(began))
	began = time.Now()
	_, err := sys.Inputs()
	require.ErrorIs(t, err, device.ErrHung)
	t.Logf("list: %v after %v", err, time.Since(began))
	require.Less(t, time.Since(began), 20*time.Second)
	server.Thaw()
	require.Eventually(t, func() bool { _, err := sys.Inputs(); return err == nil }, time.Minute, 10*time.Millisecond)
}

// ALSA and its plugins complain on file descriptor 2 when there is nothing to
// open. The test runs itself as a program that asks for devices.
func TestChatterStaysAwayFromTheScreen(t *testing.T) {
	if os.Getenv("DEVICE_TEST_CHILD") != "" {
		require.NoError(t, quiet.Stderr(""))
		_, err := device.NewSystem(nil).Input("", "", false).Open()
		fmt.Fprintln(os.Stderr, "we say:", err)
		return
	}
	soundtest.NoServer(t)
	var stderr bytes.Buffer
	cmd := exec.Command(os.Args[0], "-test.run=^TestChatterStaysAwayFromTheScreen$")
	cmd.Env, cmd.Stderr = append(os.Environ(), "DEVICE_TEST_CHILD=yes"), &stderr
	require.NoError(t, cmd.Run())
	require.Regexp(t, `^we say: .*\n$`, stderr.String())
}

func rms(samples []float32) float64 {
	var sum float64
	for _, x := range samples {
		sum += float64(x) * float64(x)
	}
	return math.Sqrt(sum / float64(len(samples)))
}
