package guided

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/rig/session"
	"rollready/dsp/camera"
	"rollready/dsp/preroll"
)

// mic is a source whose frames the test makes.
type mic struct {
	mu      sync.Mutex
	name    string
	format  capture.Format
	deliver func([]float32)
	done    chan struct{}
	random  *rand.Rand
	frame   int
}

func newMic(name string) *mic {
	return &mic{name: name, format: capture.Format{RateHz: 48000, Channels: 1}, done: make(chan struct{}), random: rand.New(rand.NewPCG(1, 2))}
}

func (m *mic) Name() string           { return m.name }
func (m *mic) Kind() capture.Kind     { return capture.Device }
func (m *mic) Format() capture.Format { return m.format }
func (m *mic) Done() <-chan struct{}  { return m.done }
func (m *mic) Close() error           { return nil }
func (m *mic) Start(deliver func([]float32)) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.deliver = deliver
	return nil
}

func (m *mic) open() (capture.Source, error) { return m, nil }

// say delivers a tenth of a second of room, with a buzz like a voice on top.
func (m *mic) say(voice float64) {
	block := make([]float32, 4800)
	for i := range block {
		t := float64(m.frame) / 48000
		m.frame++
		x := 0.0003 * m.random.NormFloat64()
		for k := 1.0; k < 12; k++ {
			x += voice / k * math.Sin(2*math.Pi*130*k*t+k*k) * max(0, math.Sin(2*math.Pi*2.5*t))
		}
		block[i] = float32(x)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.deliver(block)
}

func begin(t *testing.T, m *mic) (*session.Session, *Check) {
	t.Helper()
	s, err := session.Open(session.Options{Open: m.open})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	c := Begin(s)
	t.Cleanup(c.End)
	c.ask(func() {}) // it listens
	return s, c
}

// lead speaks, or is silent, until the check stands where it should.
func lead(t *testing.T, m *mic, c *Check, voice float64, there func(p Progress) bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); !there(c.Progress()); {
		require.True(t, time.Now().Before(end), "%+v", c.Progress())
		m.say(voice)
		time.Sleep(5 * time.Millisecond)
	}
}

func at(s preroll.Step) func(Progress) bool { return func(p Progress) bool { return p.Step == s } }

func setup() preroll.Setup { return preroll.Setup{Camera: camera.Default} }

func TestAWholeCheckAndAStepRepeated(t *testing.T) {
	m := newMic("one")
	_, c := begin(t, m)
	_, err := c.Result(setup())
	require.ErrorIs(t, err, preroll.ErrShort)
	lead(t, m, c, 0, at(preroll.Speak))
	lead(t, m, c, 0.1, at(preroll.Done))
	o, err := c.Result(setup())
	require.NoError(t, err)
	require.Len(t, o.Quiet, 2)
	require.InDelta(t, o.Quiet[0][20], o.Quiet[1][20], 1e-9, "one channel is its own mean")
	first := o.Voice.PeakDBFS
	applied := setup()
	applied.Chain.GainDB, applied.Chain.HighPass = float64(o.Recommend.OutputGainDB), o.Recommend.HighPass
	after, err := c.Result(applied)
	require.NoError(t, err)
	require.Equal(t, o.Recommend, after.Recommend, "what was applied still suits")
	again, err := c.Result(setup())
	require.NoError(t, err)
	require.Equal(t, o, again)

	c.Repeat(preroll.Speak)
	require.Eventually(t, func() bool { return c.Progress().Step == preroll.Speak }, time.Minute, time.Millisecond)
	lead(t, m, c, 0.2, at(preroll.Done))
	o, err = c.Result(setup())
	require.NoError(t, err)
	require.InDelta(t, float64(first)+6.02, float64(o.Voice.PeakDBFS), 0.5)
}

func TestTalkInTheQuietIsSaid(t *testing.T) {
	m := newMic("one")
	_, c := begin(t, m)
	lead(t, m, c, 0, func(p Progress) bool { return p.Share > 0.2 })
	lead(t, m, c, 0.1, func(p Progress) bool { return p.Trouble == preroll.Talking })
	lead(t, m, c, 0, at(preroll.Speak))
}

func TestAnotherInputBeginsAnew(t *testing.T) {
	one, two := newMic("one"), newMic("two")
	two.format.RateHz = 44100
	s, c := begin(t, one)
	lead(t, one, c, 0, at(preroll.Speak))
	require.NoError(t, s.Switch(two.open, capture.Auto))
	require.Eventually(t, func() bool {
		p := c.Progress()
		return p.Note == Changed && p.Step == preroll.Quiet && p.Share == 0
	}, time.Minute, time.Millisecond)
	lead(t, two, c, 0, at(preroll.Speak))
	require.Equal(t, NoNote, c.Progress().Note)
	lead(t, two, c, 0.1, at(preroll.Done))
}

func TestASessionThatClosesLeavesNothingHanging(t *testing.T) {
	m := newMic("one")
	s, err := session.Open(session.Options{Open: m.open})
	require.NoError(t, err)
	c := Begin(s)
	s.Close()
	c.End()
	<-c.ended
	_, err = c.Result(setup())
	require.ErrorIs(t, err, preroll.ErrShort)
	c.Repeat(preroll.Quiet)
}
