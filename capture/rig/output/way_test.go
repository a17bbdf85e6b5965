package output

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/compare"
	"rollready/dsp/db"
	"rollready/dsp/earcon"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

func TestHeadphonesStartMutedAndLowAndFadeIn(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output})
	r.sound = tone(1000, 0.5)
	require.Zero(t, peak(r.play(0.5)))
	st := r.way.Status()
	require.True(t, st.Muted)
	require.Equal(t, -30.0, st.LevelDB)

	r.way.SetMute(false)
	quarter := peak(r.play(0.25))
	require.Less(t, quarter, 0.1*0.5*db.ToAmplitude(-30))
	r.play(1)
	full := r.play(0.5)
	require.InDelta(t, 0.5*db.ToAmplitude(-30), peak(full), 1e-4)
	require.Less(t, bend(full), 1.05*toneBend(1000, 0.5*db.ToAmplitude(-30), rateHz))

	r.way.SetLevel(+12) // no louder than the source itself
	require.Zero(t, r.way.Status().LevelDB)
	louder := r.play(0.5)
	require.Less(t, bend(louder), 1.05*toneBend(1000, 0.5, rateHz))
	require.InDelta(t, 0.5, peak(louder[4800:]), 1e-3)

	r.way.SetMute(true)
	ending := r.play(0.1)
	require.Less(t, bend(ending), 1.5*toneBend(1000, 0.5, rateHz))
	require.Zero(t, peak(ending[2400:]))
	require.Zero(t, r.way.Status().Dropouts)
}

func TestCameraHearsItsLevelAtOnce(t *testing.T) {
	r := newRig(t, chain.Settings{GainDB: -6}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
	r.sound = tone(1000, 0.5)
	r.way.SetMute(true)
	r.way.SetLevel(-20)
	out := r.play(1)
	require.InDelta(t, 0.5*db.ToAmplitude(-6), peak(out[9600:]), 1e-4)
	require.Less(t, bend(out[2400:]), 1.02*toneBend(1000, 0.5*db.ToAmplitude(-6), rateHz))
}

func TestOtherRatesAndChannels(t *testing.T) {
	for _, dev := range []*phones{newPhones(44100, 2), newPhones(96000, 1), newPhones(16000, 2), newPhones(48000, 6)} {
		r := newRig(t, chain.Settings{}, dev, Options{Source: Output, Camera: true})
		r.sound = tone(1000, 0.5)
		out := r.play(1)
		require.Zero(t, r.way.Status().Dropouts)
		require.InDelta(t, 0.5, peak(out[len(out)/4:]), 2e-3, "%+v", dev.format)
		require.Less(t, bend(out[len(out)/4:]), 1.05*toneBend(1000, 0.5, float64(dev.format.RateHz)), "%+v", dev.format)
	}
}

func TestEachSourceIsHeardAndSwitchedWithoutAClick(t *testing.T) {
	r := newRig(t, chain.Settings{GainDB: -6}, newPhones(rateHz, 2), Options{Source: Input, Camera: true})
	r.way.SetSide(compare.A, strips.Of(chain.Settings{GainDB: -12}))
	r.way.SetSide(compare.B, strips.Of(chain.Settings{HighPass: filter.Cut{Hz: 400, Slope: 6}}))
	r.sound = tone(400, 0.5)
	r.play(0.5)
	for _, c := range []struct {
		source Source
		want   float64
	}{{Input, 0}, {Output, -6}, {SideA, -12}, {SideB, -3.0103}, {Input, 0}} {
		r.way.Hear(c.source)
		out := r.play(0.3)
		require.Less(t, bend(out), 2*toneBend(400, 0.5, rateHz), c.source)
		require.InDelta(t, c.want, db.FromAmplitude(peak(out[7200:])/0.5), 0.01, c.source)
	}
	r.way.SetGains([2]float64{-6, 0})
	r.way.Hear(SideA)
	out := r.play(0.5)
	require.InDelta(t, -18, db.FromAmplitude(peak(out[14400:])/0.5), 0.01)
}

func TestPhraseLoopsThroughASide(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: SideA, Camera: true})
	r.way.SetSide(compare.A, strips.Of(chain.Settings{GainDB: -6}))
	_, err := r.session.Phrase()
	require.ErrorContains(t, err, "no phrase yet")
	r.sound = tone(500, 0.5)
	for range 6 { // no faster than the session can remember
		r.play(0.5)
		eventually(t, "the phrase", func() bool { return r.session.Reading().Frames == int64(r.sent) })
	}
	loop, err := r.session.Phrase()
	require.NoError(t, err)
	r.way.Play(loop)
	r.play(0.1)
	r.sound = func(int, int) float64 { return 0 } // nobody speaks any longer
	out := r.play(5)
	require.InDelta(t, 0.5*db.ToAmplitude(-6), peak(out[48000:]), 2e-3)
	require.Less(t, bend(out[4800:]), 1.05*toneBend(500, 0.5*db.ToAmplitude(-6), rateHz), "no seam")
	r.way.Play(nil)
	r.play(0.1)
	require.Less(t, peak(r.play(0.3)), 1e-6)
}

// The sound breaks off for 150 ms: one dropout, soft edges, and all is as
// before.
func TestDropoutIsSoftAndCounted(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
	r.sound = tone(200, 0.5)
	r.play(1)
	delay := r.way.Status().DelayMS
	r.inAt += 0.15
	out := r.play(1)
	st := r.way.Status()
	require.EqualValues(t, 1, st.Dropouts)
	require.Positive(t, st.LostMS)
	var steepest float64
	for i := 1; i < len(out); i++ {
		steepest = max(steepest, math.Abs(float64(out[i]-out[i-1])))
	}
	require.Less(t, steepest, 0.5*2*math.Pi*200/rateHz+0.5/(edgeSeconds*rateHz))
	require.InDelta(t, delay+5, st.DelayMS, 6, "half a period more is held after a dropout")
	require.Less(t, bend(r.play(1)), 1.02*toneBend(200, 0.5, rateHz))
	require.EqualValues(t, 1, r.way.Status().Dropouts)
}

// The device sleeps for 400 ms: what gathered meanwhile is left out, so that
// the delay does not stay.
func TestSurplusIsLeftOut(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
	r.sound = tone(200, 0.5)
	r.play(1)
	delay := r.way.Status().DelayMS
	r.outAt += 0.4
	r.play(0.2)
	st := r.way.Status()
	require.EqualValues(t, 1, st.Dropouts)
	require.InDelta(t, 400, st.LostMS, 30)
	require.InDelta(t, delay, st.DelayMS, 12)
}

func TestClocksThatDiffer(t *testing.T) { clocksThatDiffer(t, 1, 0.004, 150, 200) }

// Callbacks that come like clockwork hide the difference for as long as it
// takes to slip by a block: at 400 ppm, 25 s.
func TestSteadyClocksThatDiffer(t *testing.T) { clocksThatDiffer(t, 1, 0, 250, 400) }

// clocksThatDiffer runs some minutes at a clock difference, with callbacks up
// to some seconds late: nothing breaks off, the tone has no step, and the
// difference is learnt to so many ppm. (The hour is in dsp/drift.)
func clocksThatDiffer(t *testing.T, minutes, jitter, learnt, apart float64) {
	for _, ppm := range []float64{-apart, apart} {
		r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
		r.sound, r.inPPM, r.jitter = tone(997, 0.5), ppm, jitter
		out := r.play(60 * minutes)
		st := r.way.Status()
		t.Logf("%+v", st)
		require.Zero(t, st.Dropouts)
		require.InDelta(t, ppm, st.DriftPPM, learnt)
		require.Less(t, bend(out[4800:]), 1.02*toneBend(997, 0.5, rateHz))
	}
}

// A speaker near the mic: what is played comes back. The guard mutes before
// half a second of howling is over, says why, and stays muted.
func TestHowlIsMuted(t *testing.T) {
	r := newRig(t, chain.Settings{GainDB: 6}, newPhones(rateHz, 2), Options{Source: Output})
	var played []float32
	var x1, x2, y1, y2 float64
	r.sound = func(frame, channel int) float64 {
		if k := frame - 960; channel == 0 && k >= 0 && k < len(played) { // a room that favours 1200 Hz: quality 20
			w := 2 * math.Pi * 1200.0 / rateHz
			alpha := math.Sin(w) / 40
			x := float64(played[k])
			y := (alpha*(x-x2) + 2*math.Cos(w)*y1 - (1-alpha)*y2) / (1 + alpha)
			x1, x2, y1, y2 = x, x1, y, y1
		}
		return max(-1, min(1, 1e-4*r.random.NormFloat64()+y1))
	}
	r.way.SetLevel(0)
	r.way.SetMute(false)
	loud, muted := -1, -1
	for i := range 1000 {
		played = append(played, r.play(0.01)...)
		if loud < 0 && peak(played[max(0, len(played)-480):]) > 0.01 {
			loud = i
		}
		if r.way.Status().Muted {
			muted = i
			break
		}
	}
	require.Positive(t, muted)
	require.LessOrEqual(t, muted-loud, 50)
	st := r.way.Status()
	t.Log(st.Alarm)
	require.Contains(t, st.Alarm, "feedback at")
	r.play(0.1)
	require.Zero(t, peak(r.play(0.5)))
	r.way.SetMute(false)
	require.Empty(t, r.way.Status().Alarm)
}

// While the line-up sounds the way to the camera is silent; after it, it is
// as before.
func TestPauseSilencesTheWayToTheCamera(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
	r.sound = tone(300, 0.5)
	require.InDelta(t, 0.5, peak(r.play(0.5)[9600:]), 1e-3)
	r.way.Pause(true)
	r.play(0.1)
	require.Zero(t, peak(r.play(0.5)))
	r.way.Pause(false)
	r.play(1.2)
	require.InDelta(t, 0.5, peak(r.play(0.5)), 1e-3)
}

func TestOtherChannelsAreTakenUp(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output, Camera: true})
	r.sound = tone(300, 0.5)
	require.InDelta(t, 0.5, peak(r.play(0.5)[9600:]), 1e-3)
	require.NoError(t, r.session.SetPick("2"))
	r.play(0.05)
	eventually(t, "the tap for one channel", func() bool {
		st := r.way.port.stage.Load()
		return st != nil && st.session.Channels == 1
	})
	r.play(0.2)
	require.InDelta(t, 0.5, peak(r.play(0.5)), 1e-3)
}

func TestLostDeviceIsTakenUpAgainMuted(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{Source: Output})
	r.sound = tone(300, 0.5)
	r.way.SetMute(false)
	r.play(0.1)
	close(r.phones.done)
	eventually(t, "lost", func() bool { return r.way.Status().Lost && r.phones.closed.Load() })
	require.Zero(t, peak(r.phones.pull(480)), "a device that was given up plays silence")
	back := newPhones(44100, 2)
	r.drawer.mu.Lock()
	r.drawer.next = append(r.drawer.next, back)
	r.drawer.mu.Unlock()
	eventually(t, "back", func() bool { st := r.way.Status(); return !st.Lost && st.Returns == 1 })
	r.phones = back
	require.True(t, r.way.Status().Muted)
	require.True(t, r.way.Status().Back, "and why")
	r.way.SetMute(false)
	require.False(t, r.way.Status().Back)
	r.way.SetLevel(0)
	r.play(2)
	require.InDelta(t, 0.5, peak(r.play(0.1)), 1e-3)
}

func TestOpenErrorsAreTold(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(rateHz, 2), Options{})
	_, err := Open(r.session, Options{Open: r.drawer.open})
	require.ErrorIs(t, err, errNone)
}

// Earcons come at the headphones' level, one after the other, the weightiest
// first, also while no sound of the session does; muted they are not heard, and
// the camera never gets one.
func TestEarcons(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(44100, 2), Options{})
	r.way.SetLevel(-12)
	r.way.SetMute(false)
	require.Zero(t, peak(r.play(2)))
	r.way.Earcon(earcon.Tick)
	r.way.Earcon(earcon.InputLost)
	heard := r.play(2)
	require.InDelta(t, earcon.PeakDBFS-12, 20*math.Log10(peak(heard)), 0.1)
	want := append(earcon.Sound(earcon.InputLost, 44100), earcon.Sound(earcon.Tick, 44100)...)
	for i, v := range want {
		require.InDelta(t, float64(v)*math.Pow(10, -12.0/20), float64(heard[i]), 1e-4)
	}
	require.Zero(t, peak(heard[len(want):]))
	r.way.SetMute(true)
	r.play(0.1)
	r.way.Earcon(earcon.TakeStopped)
	require.Zero(t, peak(r.play(1)))

	camera := newRig(t, chain.Settings{}, newPhones(48000, 2), Options{Source: Output, Camera: true})
	for k := range earcon.Count {
		camera.way.Earcon(k)
	}
	require.Zero(t, peak(camera.play(3)))
}

func TestFillDoesNotAllocate(t *testing.T) {
	r := newRig(t, chain.Settings{}, newPhones(44100, 2), Options{Source: SideA})
	r.sound = tone(300, 0.5)
	r.way.SetMute(false)
	r.play(0.5)
	in, out := make([]float32, 960), make([]float32, 882)
	k := 0
	filled := func() float64 {
		return testing.AllocsPerRun(200, func() {
			k++
			r.way.Hear(Source(k / 10 % 4))
			r.way.Earcon(earcon.Kind(k / 4 % int(earcon.Count)))
			r.mic.deliver(in)
			(*r.phones.fill.Load())(out)
		})
	}
	require.Zero(t, min(filled(), filled(), filled()), "what other goroutines allocate counts too")
}

// One block of 10 ms, stereo: ring, both sides of a comparison, howl guard,
// resampler, level.
func BenchmarkFill(b *testing.B) {
	for _, source := range []Source{Output, SideA} {
		b.Run(source.String(), func(b *testing.B) {
			r := newRig(b, chain.Settings{}, newPhones(rateHz, 2), Options{Source: source})
			set := chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}}
			r.way.SetSide(compare.A, strips.Of(set))
			r.way.SetSide(compare.B, strips.Of(set))
			r.way.SetMute(false)
			r.sound = tone(300, 0.5)
			r.play(0.5)
			in, out := make([]float32, 960), make([]float32, 960)
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				r.mic.deliver(in)
				b.StartTimer()
				(*r.phones.fill.Load())(out)
			}
		})
	}
}
