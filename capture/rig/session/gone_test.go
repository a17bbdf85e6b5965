package session

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// what comes of a minute of sound, looked at 30 times a second: late tells by
// how much what was captured at an instant is late, and short how much of it
// never comes.
func toldGone(late, short func(at time.Duration) time.Duration) (lost int64) {
	const rateHz = 48000
	now := time.Now()
	g, came := gone{}, int64(0)
	g.begin(now, rateHz)
	for at := time.Duration(0); at < time.Minute; at += time.Second / 30 {
		all := max(came, int64((at-late(at)-short(at)).Seconds()*rateHz)/480*480)
		g.frames += all - came
		lost += g.look(now.Add(at))
		came = all
	}
	return lost
}

func TestWhatNeverComesIsCounted(t *testing.T) {
	none := func(time.Duration) time.Duration { return 0 }
	after := func(from, d time.Duration) func(at time.Duration) time.Duration {
		return func(at time.Duration) time.Duration {
			if at < from {
				return 0
			}
			return min(at-from, d) // nothing comes for so long
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	uneven := func(time.Duration) time.Duration { return time.Duration(random.IntN(80)) * time.Millisecond }
	for _, d := range []time.Duration{200 * time.Millisecond, 350 * time.Millisecond, 550 * time.Millisecond} {
		for _, late := range []func(time.Duration) time.Duration{none, uneven} {
			require.InDelta(t, d.Seconds()*48000, toldGone(late, after(20*time.Second, d)), 1000, d)
		}
	}
	twice := func(at time.Duration) time.Duration {
		return after(20*time.Second, 300*time.Millisecond)(at) + after(21500*time.Millisecond, 300*time.Millisecond)(at)
	}
	require.InDelta(t, 0.6*48000, toldGone(none, twice), 1000)
}

// An input that stands still for less than counts as a loss, or is back as soon,
// costs frames all the same.
func TestAShortLossIsTold(t *testing.T) {
	mics := &queue{}
	mic := newFake("lavalier", 1)
	mics.add(mic)
	s := run(t, Options{Open: mics.open})
	play := func(d time.Duration, told func(lost int64) bool) {
		tick := time.NewTicker(10 * time.Millisecond)
		defer tick.Stop()
		for sent, began := 0, time.Now(); time.Since(began) < d || !told(s.Status().Dropouts); <-tick.C {
			require.Less(t, time.Since(began), time.Minute)
			due := int(time.Since(began).Seconds()*48000) - sent
			mic.send(due, 0.1)
			sent += due
		}
	}
	play(2500*time.Millisecond, func(lost int64) bool { return lost == 0 })
	began := time.Now()
	time.Sleep(400 * time.Millisecond)
	first := time.Since(began).Seconds() * 48000
	play(0, func(lost int64) bool { return lost > 0 })
	told := s.Status().Dropouts
	require.InDelta(t, first, told, 0.06*48000)

	began = time.Now()
	gone := mic
	mic = newFake("lavalier", 1)
	close(gone.done)
	time.Sleep(200 * time.Millisecond)
	mics.add(mic)
	eventually(t, "found again", func() bool { return s.audio.current.Load().is(mic) })
	both := first + time.Since(began).Seconds()*48000
	play(0, func(lost int64) bool { return lost > told })
	require.InDelta(t, both, s.Status().Dropouts, 0.12*48000)
	require.Equal(t, 1, s.Status().Returns)
}

func TestWhatComesLateIsNotGone(t *testing.T) {
	none := func(time.Duration) time.Duration { return 0 }
	for name, late := range map[string]func(at time.Duration) time.Duration{
		"in time": none,
		"the computer stood still for 1.5 s, and all comes after": func(at time.Duration) time.Duration {
			if at > 20*time.Second && at < 21500*time.Millisecond {
				return at - 20*time.Second
			}
			return 0
		},
		"a start two seconds deep":      func(at time.Duration) time.Duration { return min(at, max(0, 2*time.Second-at)) },
		"a start after 1.5 s":           func(at time.Duration) time.Duration { return min(at, 1500*time.Millisecond) },
		"150 ms at once, then and when": func(at time.Duration) time.Duration { return at % (150 * time.Millisecond) },
		"another clock, 200 ppm":        func(at time.Duration) time.Duration { return at / 5000 },
		"a tenth too slow all the time": func(at time.Duration) time.Duration { return at / 10 },
	} {
		require.Zero(t, toldGone(late, none), name)
	}
}
