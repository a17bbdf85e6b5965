package session

import (
	"math"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
)

func TestFramesAreMeteredBeforeAndAfterTheChain(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open, Strips: strips.Of(chain.Settings{GainDB: -20})})
	mic.send(4800, 0.5)
	eventually(t, "4800 frames", func() bool { return s.Reading().Frames == 4800 })
	s.SetStrips(strips.Of(chain.Settings{GainDB: 0}))
	mic.send(480, 0.25)
	eventually(t, "480 more", func() bool { return s.Reading().Frames == 5280 })
	st := s.Status()
	require.Equal(t, "Mic", st.Source)
	require.Equal(t, capture.Device, st.Kind)
	require.Equal(t, 48000, st.SourceHz)
	require.Equal(t, 2, st.Channels)
	require.Zero(t, st.Dropouts)
	require.Empty(t, st.Fault)
}

func TestWhatIsNotFiniteBecomesSilenceAndIsCounted(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open})
	tap := s.AddTap(BothFrames, 1)
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	mic.sendBlock([]float32{nan, 0.5, 0.25, inf, -inf, math.MaxFloat32})
	got := make([]float32, 6)
	require.Equal(t, 3, tap.Input.Read(got))
	require.Equal(t, []float32{0, 0.5, 0.25, 0, 0, math.MaxFloat32}, got)
	eventually(t, "the count", func() bool { return s.Status().Sanitised == 3 })
}

func TestZerosAreCounted(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open})
	silent := make([]float32, 2*4800)
	mic.sendBlock(silent)
	eventually(t, "a tenth of a second", func() bool { return s.Status().Zeros == 100*time.Millisecond })
	mic.sendBlock(silent)
	eventually(t, "as much again", func() bool { return s.Status().Zeros == 200*time.Millisecond })
	almost := make([]float32, 2*4800)
	almost[2*2400-1] = 1.0 / (1 << 23) // the least of 24 bits
	mic.sendBlock(almost)
	eventually(t, "since the last noise", func() bool { return s.Status().Zeros == 50*time.Millisecond })
}

func TestPickTakesTheChannelsAskedFor(t *testing.T) {
	mic := newFake("Six", 6)
	frame := []float32{0.1, 0.2, 0.3, 0.4, 0.5, 0.6}
	s := run(t, Options{Open: mic.open, Pick: "3+5"})
	for pick, want := range map[capture.Pick][]float32{"3+5": {0.3, 0.5}, "6": {0.6}, capture.Mix: {0.35}, capture.Auto: {0.1, 0.2}} {
		require.NoError(t, s.SetPick(pick))
		tap := s.AddTap(InputFrames, 1)
		require.Equal(t, capture.Format{RateHz: 48000, Channels: len(want)}, tap.Format())
		mic.sendBlock(append([]float32(nil), frame...))
		got := make([]float32, len(want))
		require.Equal(t, 1, tap.Input.Read(got), "pick %q", pick)
		require.InDeltaSlice(t, want, got, 1e-6, "pick %q", pick)
		require.Nil(t, tap.Output)
	}
	require.ErrorContains(t, s.SetPick("7"), "channel 7: the input has 6")
}

func TestATapIsCutWhenTheFormatChangesAndEndsWhenRemoved(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open})
	kept, removed := s.AddTap(BothFrames, 1), s.AddTap(OutputFrames, 1)
	s.RemoveTap(removed)
	mic.send(100, 0.1)
	require.Equal(t, 100, kept.Input.Len())
	require.Equal(t, 100, kept.Output.Len())
	require.Zero(t, removed.Output.Len())
	require.False(t, kept.Cut())
	require.NoError(t, s.SetPick("1"))
	mic.send(100, 0.1)
	require.True(t, kept.Cut())
	require.Equal(t, 100, kept.Input.Len())
}

func TestAnalysisThatComesLateCountsDropouts(t *testing.T) {
	mic := newFake("Mic", 1)
	s := run(t, Options{Open: mic.open})
	block := make([]float32, 48000)
	var room int64
	s.ask(func() { // the loop is busy here: nobody reads the rings
		room = int64(s.wiring.in.Cap())
		for range 4 {
			mic.sendBlock(block)
		}
	})
	wholeHops := room / 480 * 480 // the meter's
	eventually(t, "the rest", func() bool { return s.Reading().Frames == wholeHops })
	require.Equal(t, 4*48000-room, s.Status().Dropouts)
}

func TestADeviceThatFallsSilentIsLostAndTakenUpAgain(t *testing.T) {
	first, second := newFake("Mic", 2), newFake("Mic", 2)
	first.hang = make(chan struct{})
	defer close(first.hang)
	q := &queue{next: []*fake{first}}
	s := run(t, Options{Open: q.open})
	tap := s.AddTap(InputFrames, 10)
	stop := first.keepSending(t)
	eventually(t, "frames", func() bool { return s.Reading().Frames > 0 })
	stop()
	silent := time.Now()
	eventually(t, "lost", func() bool { return s.Status().Lost })
	t.Logf("lost after %v", time.Since(silent))
	eventually(t, "attempts", func() bool { q.mu.Lock(); defer q.mu.Unlock(); return q.calls > 2 })
	require.Positive(t, s.Status().LostFor)
	require.Zero(t, s.Status().Returns)

	q.add(second)
	eventually(t, "opened", func() bool { second.mu.Lock(); defer second.mu.Unlock(); return second.deliver != nil })
	require.True(t, s.Status().Lost, "no frames, no return")
	second.keepSending(t)
	eventually(t, "the return", func() bool { return !s.Status().Lost })
	require.Equal(t, 1, s.Status().Returns)
	require.EqualValues(t, 1, first.closed.Load(), "closing hangs, and nobody waits for it")
	require.EqualValues(t, 1, tap.Gaps())

	frames := tap.Input.Len()
	first.send(1000, 1) // the dead device wakes: it is not heard
	require.Less(t, tap.Input.Len(), frames+1000)
}

func TestADeviceThatSaysItStoppedIsLostAtOnce(t *testing.T) {
	mic := newFake("Mic", 2)
	q := &queue{next: []*fake{mic}}
	s := run(t, Options{Open: q.open})
	mic.keepSending(t)
	eventually(t, "frames", func() bool { return s.Reading().Frames > 0 })
	close(mic.done)
	eventually(t, "lost", func() bool { return s.Status().Lost })
}

func TestADeviceThatComesBackWithoutFramesIsTriedAgain(t *testing.T) {
	first, dumb, last := newFake("Mic", 2), newFake("Mic", 2), newFake("Mic", 2)
	q := &queue{next: []*fake{first, dumb, last}}
	s := run(t, Options{Open: q.open})
	first.send(480, 0.1)
	last.deliver = func([]float32) {}
	last.keepSending(t)
	eventually(t, "the return", func() bool { return s.Status().Returns == 1 && !s.Status().Lost })
	require.Positive(t, dumb.closed.Load())
}

func TestAReplacedMicrophoneIsPointedOut(t *testing.T) {
	lav, lid := newFake("Lav", 1), newFake("Lid", 1)
	s := run(t, Options{Open: lid.open, Expect: "Lav"})
	require.Contains(t, s.Status().Notice, `now "Lid", before it was "Lav"`)
	require.NoError(t, s.Switch(lav.open, capture.Auto), "the user's own switch needs no warning")
	eventually(t, "the switch", func() bool { return s.Status().Source == "Lav" })
	require.Empty(t, s.Status().Notice)
	eventually(t, "the old one closed", func() bool { return lid.closed.Load() > 0 })
}

func TestSwitchKeepsTheOldInputOnError(t *testing.T) {
	mic, bad := newFake("Mic", 2), newFake("Bad", 2)
	bad.startIs = errGone
	s := run(t, Options{Open: mic.open})
	require.ErrorIs(t, s.Switch(bad.open, capture.Auto), errGone)
	require.Positive(t, bad.closed.Load())
	require.ErrorContains(t, s.Switch(newFake("Few", 2).open, "5"), `input "Few": channel 5`)
	require.Equal(t, "Mic", s.Status().Source)
	mic.send(480, 0.1)
	eventually(t, "frames", func() bool { return s.Reading().Frames == 480 })
}

func TestSwitchToAnotherFormat(t *testing.T) {
	mic, field := newFake("Mic", 2), newFake("Field", 1)
	field.format.RateHz = 96000
	s := run(t, Options{Open: mic.open})
	mic.send(480, 0.1)
	require.NoError(t, s.Switch(field.open, capture.Auto))
	field.send(960, 0.1)
	mic.send(5000, 0.1)
	eventually(t, "the new one's frames", func() bool { return s.Reading().Frames == 960 && s.Status().SourceHz == 96000 })
}

func TestWithoutInputTheDemoRunsUntilThereIsOne(t *testing.T) {
	demo, mic := newFake("demo scene", 1), newFake("Mic", 2)
	demo.kind = capture.Demo
	q := &queue{}
	_, err := Open(Options{Open: q.open})
	require.ErrorIs(t, err, errGone, "without a fallback the error is the caller's")
	_, err = Open(Options{Open: newFake("Mic", 2).open, Fallback: demo.open, Pick: "9", Exact: true})
	require.ErrorContains(t, err, "channel 9: the input has 2", "so it is where these channels were asked for")

	s := run(t, Options{Open: q.open, Fallback: demo.open, Pick: "2"})
	require.Contains(t, s.Status().Notice, "No usable input: not there.")
	require.Equal(t, capture.Demo, s.Status().Kind)
	demo.send(480, 0.1)
	eventually(t, "the demo", func() bool { return s.Reading().Frames == 480 })
	q.add(mic)
	eventually(t, "the microphone", func() bool { return s.Status().Source == "Mic" })
	require.Contains(t, s.Status().Notice, `Found the input "Mic"`)
	require.False(t, s.Status().Lost)
	require.Zero(t, s.Status().Returns)
}

func TestAFileEndsAndIsMeteredToItsEnd(t *testing.T) {
	file := newFake("take.wav", 2)
	file.kind = capture.File
	s := run(t, Options{Open: file.open})
	file.send(48_000, 0.5)
	close(file.done)
	eventually(t, "the end", func() bool { return s.Status().Ended })
	require.EqualValues(t, 48_000, s.Reading().Frames)
	require.False(t, s.Status().Lost)
}

// failing is a file that can't be read to its end.
type failing struct{ *fake }

func (failing) Err() error { return errGone }

func TestAFileThatEndsEarlySaysWhy(t *testing.T) {
	file := newFake("take.wav", 2)
	file.kind = capture.File
	s := run(t, Options{Open: func() (capture.Source, error) { return failing{file}, nil }})
	close(file.done)
	eventually(t, "the end", func() bool { return s.Status().Ended })
	require.Equal(t, "take.wav ended early: not there", s.Status().Notice)
}

func TestAPanicInTheCallbackIsShownNotFatal(t *testing.T) {
	mic, other := newFake("Mic", 2), newFake("Other", 2)
	s := run(t, Options{Open: mic.open})
	tap := s.AddTap(BothFrames, 1)
	s.ask(func() { s.wiring.picker = nil })
	mic.send(480, 0.5)
	eventually(t, "the fault", func() bool { return s.Status().Fault != "" })
	require.Regexp(t, `nil pointer dereference \(\w+\.go:\d+\)`, s.Status().Fault)
	mic.send(480, 0.5)
	require.False(t, s.Status().Lost, "the device is not to blame")
	require.NoError(t, s.Switch(other.open, capture.Auto))
	other.send(480, 0.5)
	eventually(t, "another input", func() bool { return s.Status().Fault == "" && s.Reading().Frames == 480 })
	require.Equal(t, 480, tap.Input.Len(), "taps go on")
}

func TestAClosedSessionRefusesAndDoesNotHang(t *testing.T) {
	mic := newFake("Mic", 2)
	s, err := Open(Options{Open: mic.open})
	require.NoError(t, err)
	s.Close()
	s.Close()
	s.SetStrips(strips.Of(chain.Settings{}))
	s.ResetHolds()
	require.True(t, s.AddTap(BothFrames, 1).Cut())
	other := newFake("Other", 2)
	require.ErrorIs(t, s.Switch(other.open, capture.Auto), errClosed)
	require.Positive(t, other.closed.Load())
	require.Positive(t, mic.closed.Load())
}

func TestTheCallbackFindsAFreeProcessor(t *testing.T) {
	before := runtime.GOMAXPROCS(2)
	defer runtime.GOMAXPROCS(before)
	t.Setenv("GOMAXPROCS", "2")
	keepSpareProcessors()
	require.Equal(t, 2, runtime.GOMAXPROCS(0), "the user's own choice stays")
	t.Setenv("GOMAXPROCS", "")
	keepSpareProcessors()
	require.Equal(t, 4, runtime.GOMAXPROCS(0))
}

func voice(frames, channels int) []float32 {
	block := make([]float32, frames*channels)
	for i := range block {
		block[i] = float32(0.3 * math.Sin(float64(i)*0.05))
	}
	return block
}

func TestTheCallbackDoesNotAllocate(t *testing.T) {
	mic := newFake("Mic", 2)
	s := run(t, Options{Open: mic.open, Strips: strips.Of(busyChain)})
	s.AddTap(BothFrames, 1)
	block := voice(480, 2)
	require.Zero(t, allocations(mic, block))
}

func TestTheCallbackOfFourStripsDoesNotAllocate(t *testing.T) {
	mic := newFake("Eight", 8)
	s := run(t, Options{Open: mic.open, Pick: "2+3+5+8", Strips: people()})
	s.AddTap(BothFrames|CameraFrames, 1)
	block := voice(480, 8)
	require.Zero(t, allocations(mic, block))
}

// people have a strip each, and go to both channels.
func people() strips.Settings {
	s := strips.Of(busyChain)
	s.Unlinked, s.Route = true, strips.Together
	for i := range s.Strips {
		s.Strips[i].Chain.GainDB -= float64(3 * i)
	}
	return s
}

// Strips have channels of their own in what is metered and tapped, and their
// sum in both feeds; solo is heard and nowhere else.
func TestStripsGoTheirWays(t *testing.T) {
	mic := newFake("Eight", 8)
	set := strips.Settings{Unlinked: true, Route: strips.Safety}
	set.Strips[0].Chain.GainDB, set.Strips[1].Chain.GainDB = 6, -6
	s := run(t, Options{Open: mic.open, Pick: "2+7", Strips: set})
	require.Equal(t, strips.ChannelsOf(2, []int{1, 6}), s.Status().Picked)
	out, camera, phones := s.AddTap(OutputFrames, 1), s.AddTap(CameraFrames, 1), s.AddTap(PhonesFrames, 1)
	next := func() (o, c, p [2]float32) {
		mic.sendBlock([]float32{0, 0.1, 0, 0, 0, 0, 0.2, 0})
		require.Equal(t, 1, out.Output.Read(o[:])+camera.Feed.Read(c[:])+phones.Feed.Read(p[:])-2)
		return o, c, p
	}
	one, two := 0.1*math.Pow(10, 0.3), 0.2*math.Pow(10, -0.3)
	o, c, p := next()
	require.InDeltaSlice(t, []float64{one, two}, []float32(o[:]), 1e-6)
	require.InDeltaSlice(t, []float64{one + two, (one + two) * math.Pow(10, -0.5)}, []float32(c[:]), 1e-6)
	require.InDeltaSlice(t, []float64{one + two, one + two}, []float32(p[:]), 1e-6)
	set.Solo = 2
	s.SetStrips(set)
	for range 600 { // the change glides for 10 ms
		_, c, p = next()
	}
	require.InDeltaSlice(t, []float64{one + two, (one + two) * math.Pow(10, -0.5)}, []float32(c[:]), 1e-6)
	require.InDeltaSlice(t, []float64{two, two}, []float32(p[:]), 1e-6)
	eventually(t, "the reading", func() bool { return s.Reading().Frames == 480 })
	r := s.Reading()
	require.Equal(t, 2, r.Fed)
	require.InDelta(t, 10, r.Camera[0].PeakDBFS-r.Camera[1].PeakDBFS, 0.01)
}

func BenchmarkCallback480(b *testing.B) {
	for _, c := range []struct {
		name string
		pick capture.Pick
		set  strips.Settings
	}{{"stereo", capture.Stereo, strips.Of(busyChain)}, {"four strips", "1+2+3+4", people()}} {
		b.Run(c.name, func(b *testing.B) {
			mic := newFake("Mic", 4)
			s, err := Open(Options{Open: mic.open, Pick: c.pick, Strips: c.set})
			require.NoError(b, err)
			defer s.Close()
			s.AddTap(BothFrames, 1)
			block := voice(480, 4)
			b.ReportAllocs()
			for b.Loop() {
				mic.deliver(block)
			}
		})
	}
}
