//go:build proof && linux

package rig_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/device"
	"rollready/capture/rescue"
	"rollready/capture/rig"
	"rollready/capture/soundtest"
	"rollready/capture/take"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
	"rollready/dsp/verdict"
	"rollready/presets"
)

var (
	rounds = flag.Int("rounds", 2, "how often each rough thing happens in TestProofRoughSound, by itself and mixed with others")
	stop   = flag.Duration("stop", 3*time.Second, "for how long the sound server is stopped there")
	long   = flag.Duration("long", 10*time.Second, "how long TestProofSteady lasts, in real time")
)

var studio = capture.Format{RateHz: 48000, Channels: 2}

const phonesID, phonesName, spareID = "phones", "Head Phones", "spare_mic"

// day is a rig on a private sound server while a take rolls: on the left
// channel a tone, on the right a count of the frames that no second frame of
// three minutes shares.
type day struct {
	*testing.T
	server *soundtest.Server
	rig    *rig.Rig
	frame  atomic.Int64 // played so far
	player *soundtest.Player
	dir    string
	format capture.Format // of the microphone
	began  time.Time
	what   string       // that is done now
	looked atomic.Int64 // at the camera's sound, in ms
}

const (
	toneDBFS  = -20.0
	countUnit = 1.0 / (1 << 24)
	countWrap = 1 << 23
)

func newDay(t *testing.T) *day {
	d := &day{T: t, server: soundtest.Start(t, studio), dir: t.TempDir(), format: studio}
	d.addPhones()
	d.play()
	last := &rescue.Rescue{}
	system := device.NewSystem(last.Go)
	t.Cleanup(system.Close)
	store, err := presets.Open(t.TempDir())
	require.NoError(t, err)
	settings := presets.DefaultSettings()
	settings.Recording = presets.Recording{Dir: d.dir, Scene: "7", Encoding: "float"}
	d.rig, err = rig.Open(t.Context(), rig.Options{System: system, Rescue: last, Store: store, Kept: settings, Settings: settings,
		Camera: presets.Camera{Name: "b camera", Scale: camera.Default}, Input: rig.Input{Choice: soundtest.MicName},
		Outputs: [2]string{rig.Headphones: phonesName, rig.CameraInput: soundtest.CameraName}, Warn: func(error) {}})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, d.rig.Close()) })
	d.until("the tone", d.heard)
	_, err = d.rig.Roll(take.What{Scene: "7"})
	require.NoError(t, err)
	d.began = time.Now()
	require.True(t, d.rig.State().Phones.Muted, "headphones begin muted")
	d.sounds(phonesID, toneDBFS+d.rig.State().Phones.LevelDB)
	return d
}

// otherDefaults lets other devices be the default ones before some are taken
// away: PulseAudio moves what plays to a default output that is gone, and what
// records from a default input, as the test does, to the next one.
func (d *day) otherDefaults(sink string) {
	if !strings.Contains(d.server.Pactl(d, "list", "short", "sources"), spareID) {
		d.server.AddMic(d, spareID, "Spare Mic")
	}
	d.server.Pactl(d, "set-default-source", spareID)
	d.server.Pactl(d, "set-default-sink", sink)
}

func (d *day) addPhones() { d.server.AddSink(d, phonesID, phonesName, studio) }

// play lets the room sound, from where it was.
func (d *day) play() {
	d.player = d.server.Play(d, soundtest.RoomID, func(block []float32) int {
		at := int(d.frame.Add(int64(len(block)/2))) - len(block)/2
		for i := range len(block) / 2 {
			block[2*i] = float32(math.Pow(10, toneDBFS/20) * math.Sin(2*math.Pi*1000*float64((at+i)%48)/48000))
			block[2*i+1] = float32(1+(at+i)%(countWrap-1)) * countUnit
		}
		return len(block)
	})
}

func (d *day) until(what string, ok func() bool) {
	d.Helper()
	for end := time.Now().Add(time.Minute); !ok(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			s := d.rig.State()
			require.Fail(d, what, "%+v\n%+v\n%+v\n%+v", s.Status, s.Phones, s.ToCamera, s.Reading.Input)
		}
	}
}

// heard: the input is there and its tone reads what it reads.
func (d *day) heard() bool {
	s := d.rig.State()
	return !s.Status.Lost && s.Status.Source == soundtest.MicName && s.Reading.RateHz == d.format.RateHz &&
		math.Abs(s.Reading.Input[0].RMSDBFS-toneDBFS) < 0.2
}

// sounds waits until an output plays the tone at a level: within 3 dB. Where a
// busy machine made the sound server stand still meanwhile, the headphones are
// back muted again.
func (d *day) sounds(sink string, dbfs float64) {
	d.Helper()
	var got float64
	for range 60 {
		if got = levelDBFS(d.server.Record(d, sink+".monitor", 200*time.Millisecond), 2); math.Abs(got-dbfs) < 3 {
			return
		}
		if s := d.rig.State().Phones; sink == phonesID && s.Muted && !s.Lost {
			_, err := d.rig.ToggleMute()
			require.NoError(d, err)
		}
	}
	s := d.rig.State()
	require.Fail(d, "an output", "%s plays %.1f dBFS, not %.1f: %+v\n%+v", sink, got, dbfs, s.Phones, s.ToCamera)
}

// levelDBFS is the level of the first of some channels after AES17.
func levelDBFS(frames []float32, channels int) float64 {
	sum := 0.0
	for i := 0; i < len(frames); i += channels {
		sum += float64(frames[i]) * float64(frames[i])
	}
	return 10 * math.Log10(2*sum/float64(len(frames)/channels)+1e-20)
}

// listen hears an output until the end of what is done: no 10 ms is 3 dB over
// the tone, and at the camera no frame comes again.
func (d *day) listen(sink string, done <-chan struct{}) {
	limit := toneDBFS + 3
	if sink == phonesID {
		limit += d.rig.State().Phones.LevelDB
	}
	for {
		select {
		case <-done:
			return
		default:
		}
		block := d.server.Record(d, sink+".monitor", 300*time.Millisecond)
		d.notLouder(sink, block, studio.Channels, limit)
		if sink == soundtest.CameraID {
			d.inTurn(block)
		}
	}
}

// notLouder looks at the left channel in stretches of 10 ms.
func (d *day) notLouder(what string, block []float32, channels int, limitDBFS float64) {
	for step := studio.RateHz / 100 * channels; len(block) >= step; block = block[step:] {
		if got := levelDBFS(block[:step], channels); got > limitDBFS {
			d.Errorf("%s: %s: %.1f dBFS, over %.1f", d.what, what, got, limitDBFS)
			return
		}
	}
}

// inTurn looks at the count that the camera is sent, ms by ms, where the tone
// beside it has had its whole level for 5 ms, so that no fade is under way and
// no filter rings: it never goes back by 8 ms, as where a buffer of 10 comes
// again, but where it begins anew. What resamples a microphone of 44.1 kHz
// makes it waver by up to 6.
func (d *day) inTurn(block []float32) {
	const ms, back, settled = 48 * 2, 8 * 48, 5
	last, whole := 0.0, 0
	for n := 0; len(block) >= ms; n, block = n+1, block[ms:] {
		at := float64(block[1]) / countUnit
		if whole++; math.Abs(levelDBFS(block[:ms], 2)-toneDBFS) > 0.001 || at < last-countWrap/2 {
			whole = 0
		}
		if whole > settled {
			d.looked.Add(1)
			if at < last-back {
				d.Errorf("%s: the camera gets an old buffer: %.1f ms back at %.1f ms, %d of the recording", d.what, (last-at)/48, last/48, n)
				return
			}
		}
		last = at
	}
}

// back waits until all is as it was before something rough, headphones muted
// where they were lost.
func (d *day) back(phonesLost bool) {
	d.Helper()
	d.until("the input and the outputs are back", func() bool {
		s := d.rig.State()
		return d.heard() && !s.Phones.Lost && !s.ToCamera.Lost && s.Phones.Device.Name == phonesName && s.ToCamera.Device.Name == soundtest.CameraName
	})
	d.sounds(soundtest.CameraID, toneDBFS)
	if phonesLost {
		require.True(d, d.rig.State().Phones.Muted, "headphones come back muted")
		require.Less(d, levelDBFS(d.server.Record(d, phonesID+".monitor", 200*time.Millisecond), 2), -100.0, "silent until somebody lets them be heard")
	}
	d.sounds(phonesID, toneDBFS+d.rig.State().Phones.LevelDB)
	require.True(d, d.rig.State().Rec.Rolling, "the take goes on")
}

// rough is what happens to the sound system while a take rolls: do gets how
// often it did so before. inputLost is set where the take goes on and must tell
// of a loss; at another rate one take ends and another begins.
type rough struct {
	name                  string
	do                    func(d *day, n int)
	inputLost, phonesLost bool
	listen                []string // at the outputs that live on
}

var both = []string{soundtest.CameraID, phonesID}

var roughThings = []rough{
	{"microphone away and back", func(d *day, _ int) {
		d.takeMic()
		d.server.ReturnMic(d)
		d.format = studio
	}, true, false, both},
	{"server killed and started again", func(d *day, _ int) {
		d.server.Kill()
		d.until("lost", func() bool { s := d.rig.State(); return s.Status.Lost && s.Phones.Lost && s.ToCamera.Lost })
		d.server.Boot(d)
		d.addPhones()
		d.play()
		d.format = studio
	}, true, true, nil},
	{"server stopped", func(d *day, _ int) {
		d.server.Freeze()
		time.Sleep(*stop)
		d.server.Thaw()
	}, true, true, nil},
	{"headphones away and back", func(d *day, _ int) {
		d.takePhones()
		d.addPhones()
	}, false, true, both[:1]},
	{"camera's output away and back", func(d *day, _ int) {
		d.otherDefaults(phonesID)
		d.server.RemoveSink(d, soundtest.CameraID)
		d.until("lost", func() bool { return d.rig.State().ToCamera.Lost })
		d.server.AddSink(d, soundtest.CameraID, soundtest.CameraName, studio)
	}, false, false, both[1:]},
	{"headphones back at another rate", func(d *day, n int) {
		d.takePhones()
		d.server.AddSink(d, phonesID, phonesName, capture.Format{RateHz: []int{44100, 48000}[n%2], Channels: 2})
	}, false, true, both[:1]},
	{"other default devices", func(d *day, n int) {
		if !strings.Contains(d.server.Pactl(d, "list", "short", "sources"), "lid_mic") {
			d.server.Pactl(d, "load-module", "module-remap-source", "source_name=lid_mic", "master="+phonesID+".monitor")
		}
		d.server.Pactl(d, "set-default-source", []string{"lid_mic", soundtest.MicID}[n%2])
		d.server.Pactl(d, "set-default-sink", []string{phonesID, soundtest.CameraID}[n%2])
		time.Sleep(300 * time.Millisecond)
	}, false, false, both},
	{"microphone back at another rate", func(d *day, n int) {
		d.takeMic()
		d.format.RateHz = []int{44100, 48000}[n%2]
		d.server.Pactl(d, "load-module", "module-remap-source", "source_name="+soundtest.MicID, "master="+soundtest.RoomID+".monitor",
			fmt.Sprintf("rate=%d", d.format.RateHz), `source_properties="device.description='`+soundtest.MicName+`'"`)
	}, false, false, both},
}

func (d *day) takeMic() {
	d.otherDefaults(soundtest.CameraID)
	d.server.RemoveMic(d)
	d.until("lost", func() bool { return d.rig.State().Status.Lost })
}

func (d *day) takePhones() {
	d.otherDefaults(soundtest.CameraID)
	d.server.RemoveSink(d, phonesID)
	d.until("lost", func() bool { return d.rig.State().Phones.Lost })
}

// TestProofRoughSound does rough things to the sound system while a take
// rolls, headphones and camera sounding: the same devices are taken again, the
// take goes on and tells every frame that is missing, no frame comes twice or
// out of turn, and nothing gets louder.
func TestProofRoughSound(t *testing.T) { roughSound(t, roughThings) }

// TestProofPipeWire does the same to PipeWire. There the rate of a microphone
// that is no hardware is that of all: the last of the rough things can't be.
func TestProofPipeWire(t *testing.T) {
	soundtest.OverPipeWire(t)
	roughSound(t, roughThings[:len(roughThings)-1])
}

// roughSound does each thing again and again, then all in an order by chance.
func roughSound(t *testing.T, things []rough) {
	var mixed []rough
	for _, r := range things {
		again := slices.Repeat([]rough{r}, *rounds)
		t.Run(r.name, func(t *testing.T) { series(t, again) })
		mixed = append(mixed, again...)
	}
	chance := rand.New(rand.NewPCG(11, 26))
	chance.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
	t.Run("mixed", func(t *testing.T) { series(t, mixed) })
}

func series(t *testing.T, things []rough) {
	d := newDay(t)
	often, losses := map[string]int{}, 0
	for _, r := range things {
		d.round(r, often[r.name])
		often[r.name]++
		if r.inputLost {
			losses++
		}
	}
	took := time.Since(d.began)
	_, err := d.rig.Stop()
	require.NoError(t, err)
	d.takes(took, len(things), losses)
}

// round does something, and listens where it can.
func (d *day) round(r rough, n int) {
	d.what = fmt.Sprintf("%s, number %d", r.name, n+1)
	done := make(chan struct{})
	var wait sync.WaitGroup
	for _, sink := range r.listen {
		wait.Go(func() { d.listen(sink, done) })
	}
	r.do(d, n)
	d.back(r.phonesLost)
	close(done)
	wait.Wait()
}

// takes reads what was recorded: frames of the source in their order, none of
// them twice, nothing louder; every loss told, and all that was told is there.
func (d *day) takes(took time.Duration, rounds, losses int) {
	paths, err := filepath.Glob(filepath.Join(d.dir, "*.wav"))
	require.NoError(d, err)
	seconds, told, lost, silent, skipped := 0.0, 0, int64(0), int64(0), int64(0)
	for _, path := range paths {
		sheet, err := take.Load(path)
		require.NoError(d, err)
		r, err := wavfile.Open(path)
		require.NoError(d, err)
		block := make([]float32, 4*r.Frames())
		if r.Frames() > 0 {
			_, err = r.Read(block)
			require.NoError(d, err)
		}
		require.NoError(d, r.Close())
		d.notLouder(path, block, 4, toneDBFS+3)
		seconds += float64(sheet.Frames) / float64(sheet.RateHz)
		for _, e := range sheet.Events {
			if e.Kind == verdict.InputLost {
				told++
			}
		}
		if sheet.RateHz == studio.RateHz {
			s, k := d.inOrder(path, block)
			require.GreaterOrEqual(d, s, sheet.Lost, "what was told to be silence in place of the input is there")
			lost, silent, skipped = lost+sheet.Lost, silent+s, skipped+k
		}
	}
	d.Logf("%d rounds in %.0f s: %d takes of %.1f s, %d losses of the input told, at 48 kHz %d frames of silence in its place told, %d there, %d of the source not recorded; %.1f s of the camera's sound looked at",
		rounds, took.Seconds(), len(paths), seconds, told, lost, silent, skipped, float64(d.looked.Load())/1000)
	require.GreaterOrEqual(d, told, losses, "losses told")
	between := float64(len(paths) - 1) // a second at most from the end of a take to the start of that which goes on
	require.InDelta(d, took.Seconds(), seconds, 1+between+float64(rounds)/4, "the takes keep their time")
}

// inOrder looks at the count in the raw track of the right channel.
func (d *day) inOrder(path string, block []float32) (silent, skipped int64) {
	last := int64(0)
	for i := 3; i < len(block); i += 4 {
		at := int64(math.Round(float64(block[i]) / countUnit))
		if at == 0 {
			silent++
			continue
		}
		if last > 0 {
			step := (at - last + countWrap - 1) % (countWrap - 1)
			if step == 0 || step > countWrap/2 {
				require.Fail(d, "an old frame", "%s: frame %d is %d, after %d", path, i/4, at, last)
			}
			skipped += step - 1
		}
		last = at
	}
	return silent, skipped
}

// TestProofSteady lets a take roll with both outputs sounding: memory,
// goroutines, threads and open files stay as they are after the first tenth,
// and what was learnt of the clocks, which are one, comes to nothing.
func TestProofSteady(t *testing.T) {
	d := newDay(t)
	var first [4]int
	for step := range 10 {
		time.Sleep(*long / 10)
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		now := [4]int{int(m.HeapAlloc), runtime.NumGoroutine(), entries(t, "task"), entries(t, "fd")}
		s := d.rig.State()
		t.Logf("%.0f s: %.1f MB, %d goroutines, %d threads, %d files; phones %.1f ppm, camera %.1f ppm, broken off %d and %d times",
			time.Since(d.began).Seconds(), float64(now[0])/1e6, now[1], now[2], now[3], s.Phones.DriftPPM, s.ToCamera.DriftPPM, s.Phones.Dropouts, s.ToCamera.Dropouts)
		if step == 0 {
			first = now
		}
		require.Less(t, now[0], first[0]+4<<20)
		for k := 1; k < len(now); k++ {
			require.LessOrEqual(t, now[k], first[k]+6, "what waits for a moment does not pile up")
		}
		require.True(t, s.Rec.Rolling)
	}
	if *long > time.Hour {
		require.InDelta(t, 0, d.rig.State().ToCamera.DriftPPM, 100)
	}
	_, err := d.rig.Stop()
	require.NoError(t, err)
}

func entries(t *testing.T, what string) int {
	list, err := os.ReadDir("/proc/self/" + what)
	require.NoError(t, err)
	return len(list)
}
