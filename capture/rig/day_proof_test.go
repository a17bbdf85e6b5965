//go:build proof && linux

package rig

import (
	"flag"
	"math"
	"os"
	"runtime"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/power"
	"rollready/capture/rescue"
	"rollready/capture/rig/deck"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/capture/take"
	"rollready/dsp"
	"rollready/dsp/camera"
	"rollready/presets"
)

var dayHours = flag.Float64("hours", 0.1, "how long TestProofAWholeDay lasts, in time that is not real")

const dayHz, inputPPM = 48000, 40.0

// clocked calls every 10 ms of a clock that runs faster by so many ppm.
type clocked struct {
	ppm        float64
	quit, done chan struct{}
}

func newClocked(ppm float64) clocked {
	return clocked{ppm, make(chan struct{}), make(chan struct{})}
}

func (c clocked) run(call func()) {
	go func() {
		defer close(c.done)
		for begun, n := time.Now(), 0.0; ; n++ {
			due := begun.Add(time.Duration(n * 1e7 / (1 + c.ppm*1e-6)))
			select {
			case <-c.quit:
				return
			case <-time.After(time.Until(due)):
				call()
			}
		}
	}()
}

func (c clocked) Done() <-chan struct{} { return c.done }
func (c clocked) Close() error          { close(c.quit); <-c.done; return nil }

// voice is a microphone that hears a minute of syllables again and again.
type voice struct {
	clocked
	minute []float32
	sent   int
}

func newVoice() *voice {
	v := &voice{clocked: newClocked(inputPPM), minute: make([]float32, 60*dayHz)}
	for i := range v.minute {
		at := float64(i) / dayHz
		v.minute[i] = float32(0.2 * math.Pow(math.Sin(math.Pi*3*at), 2) * math.Sin(2*math.Pi*(180*at+3*math.Sin(2*math.Pi*at))))
	}
	return v
}

func (v *voice) Name() string           { return "Voice" }
func (v *voice) Kind() capture.Kind     { return capture.Device }
func (v *voice) Format() capture.Format { return capture.Format{RateHz: dayHz, Channels: 1} }

func (v *voice) Start(deliver func([]float32)) error {
	block := make([]float32, dayHz/100)
	v.run(func() {
		v.sent += copy(block, v.minute[v.sent%len(v.minute):])
		deliver(block)
	})
	return nil
}

// speaker is an output of one channel.
type speaker struct{ clocked }

func (speaker) Format() capture.Format { return capture.Format{RateHz: dayHz, Channels: 1} }
func (speaker) PeriodFrames() int      { return dayHz / 100 }
func (speaker) Volume() mixer.Setting  { return mixer.Setting{} }

func (s speaker) Start(fill func([]float32)) error {
	block := make([]float32, dayHz/100)
	s.run(func() { fill(block) })
	return nil
}

func openSpeaker() (output.Device, presets.Output, error) {
	return speaker{newClocked(0)}, presets.Output{Name: "Speaker"}, nil
}

// wear is what a day wears out.
type wear struct{ memory, goroutines, files int }

func measured(t *testing.T) wear {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	files, err := os.ReadDir("/proc/self/fd")
	require.NoError(t, err)
	return wear{int(m.HeapAlloc), runtime.NumGoroutine(), len(files)}
}

// A day of takes of eight minutes with two between them, at an input, two
// outputs whose clock differs, a take folder, settings, a countdown, markers, a
// chain that is turned, in time that passes as fast as it can: memory,
// goroutines, open files and the drift stay as they are after the first take.
func TestProofAWholeDay(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		last := &rescue.Rescue{}
		s, err := session.Open(session.Options{Open: func() (capture.Source, error) { return newVoice(), nil }, View: dsp.DefaultView(), Go: last.Go})
		require.NoError(t, err)
		defer s.Close()
		w := &ways{session: s}
		for place := range w.open {
			w.open[place], err = output.Open(s, output.Options{Open: openSpeaker, Source: output.Output, Camera: Place(place) == CameraInput})
			require.NoError(t, err)
			defer w.open[place].Close()
		}
		settings := presets.DefaultSettings()
		settings.CountdownS = 3
		settings.Recording = presets.Recording{Dir: t.TempDir(), Scene: "7", Encoding: "16", NoInput: true, PreRecordS: 5}
		d, err := deck.Open(s, settings.Recording, camera.Default, func() power.Battery { return power.Battery{} })
		require.NoError(t, err)
		defer d.Close()
		store, err := presets.Open(t.TempDir())
		require.NoError(t, err)
		keeper := store.Keep(settings, last.Go)
		defer keeper.Close()
		r := New(&Parts{Engine: s, Recorder: d, Sound: w, Go: last.Go, Store: store, Keeper: keeper, Settings: settings, Now: time.Now, Battery: power.Read})
		r.follow(last.Go)
		defer r.Close()

		begun := time.Now()
		var first wear
		takes, frames := 0, int64(0)
		for time.Since(begun).Hours() < *dayHours {
			got := oneTake(t, r, min(8*time.Minute, time.Duration(*dayHours*float64(time.Hour))/2))
			takes, frames = takes+1, frames+got.Frames
			require.NoError(t, os.Remove(got.Path)) // a day is 2.7 GB
			time.Sleep(2 * time.Minute)
			state, now := r.State(), measured(t)
			if takes == 1 {
				first = now
			}
			t.Logf("%4.1f h: %.1f MB, %d goroutines, %d files; input to camera %.2f ppm, %.1f ms, %d times broken off; dropouts %d",
				time.Since(begun).Hours(), float64(now.memory)/1e6, now.goroutines, now.files,
				state.ToCamera.DriftPPM, state.ToCamera.DelayMS, state.ToCamera.Dropouts, state.Status.Dropouts)
			require.Less(t, now.memory, first.memory+2<<20)
			require.Equal(t, first.goroutines, now.goroutines)
			require.Equal(t, first.files, now.files)
			require.Zero(t, state.ToCamera.Dropouts+state.Phones.Dropouts+state.Status.Dropouts)
			require.InDelta(t, 35, state.ToCamera.DelayMS, 10, "by a block at most")
			if time.Since(begun) > 30*time.Minute {
				require.InDelta(t, inputPPM, state.ToCamera.DriftPPM, 8)
			}
			require.False(t, state.Status.Lost || state.ToCamera.Lost || state.Phones.Lost)
		}
		require.Len(t, listed(t, d), 0, "every take was looked at and taken away")
		t.Logf("%.1f h, %d takes of %.0f s", time.Since(begun).Hours(), takes, float64(frames)/dayHz)
	})
}

func listed(t *testing.T, d *deck.Deck) []take.Found {
	all, err := d.Takes()
	require.NoError(t, err)
	return all
}

// oneTake rolls by the countdown, turns the gain, marks, and stops: not a frame
// is missing.
func oneTake(t *testing.T, r *Rig, length time.Duration) take.Take {
	require.NoError(t, r.CountDown())
	time.Sleep(3*time.Second + time.Millisecond)
	require.Zero(t, r.State().Count.Left)
	began := time.Now()
	_, err := r.Roll(take.What{Scene: "7"})
	require.NoError(t, err)
	r.Unlock()
	for n := range 8 {
		time.Sleep(length / 8)
		state := r.State()
		set := state.Settings.Chain()
		set.GainDB = float64(n % 3)
		require.NoError(t, r.SetChain(set))
		r.parts.Recorder.MarkAt(r.parts.Recorder.Here(), "eighth")
	}
	took := time.Since(began)
	got, err := r.Stop()
	require.NoError(t, err)
	require.Zero(t, got.Lost+got.Lag+got.Dropouts)
	require.Len(t, got.Markers, 8)
	require.InDelta(t, took.Seconds()*(1+inputPPM*1e-6), float64(got.Frames-got.LeadFrames)/dayHz, 0.05)
	return got
}
