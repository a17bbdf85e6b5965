package ab

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/compare"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
	"rollready/presets"
)

const rateHz = 48000

// mic delivers when the test says so.
type mic struct {
	deliver func([]float32)
	done    chan struct{}
	frame   int
}

func (m *mic) Name() string                        { return "Mic" }
func (m *mic) Kind() capture.Kind                  { return capture.File }
func (m *mic) Format() capture.Format              { return capture.Format{RateHz: rateHz, Channels: 2} }
func (m *mic) Start(deliver func([]float32)) error { m.deliver = deliver; return nil }
func (m *mic) Done() <-chan struct{}               { return m.done }
func (m *mic) Close() error                        { return nil }

// phones never asks for anything: here only what they are told counts.
type phones struct{ fill func([]float32) }

func (p *phones) Format() capture.Format           { return capture.Format{RateHz: rateHz, Channels: 2} }
func (p *phones) PeriodFrames() int                { return 480 }
func (p *phones) Volume() mixer.Setting            { return mixer.Setting{} }
func (p *phones) Start(fill func([]float32)) error { p.fill = fill; return nil }
func (p *phones) Done() <-chan struct{}            { return nil }
func (p *phones) Close() error                     { return nil }
func (p *phones) open() (output.Device, presets.Output, error) {
	return p, presets.Output{Name: "Phones"}, nil
}

func start(t *testing.T) (*mic, *session.Session) {
	m := &mic{done: make(chan struct{})}
	s, err := session.Open(session.Options{Open: func() (capture.Source, error) { return m, nil }, View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(s.Close)
	return m, s
}

// deliverSound delivers so many seconds of a tone, or of noise where hz is 0.
func (m *mic) deliverSound(seconds, hz float64) {
	r := rand.New(rand.NewPCG(1, uint64(m.frame)))
	block := make([]float32, 960)
	for range int(seconds * 100) {
		for i := range block {
			block[i] = float32(0.1 * math.Sin(2*math.Pi*hz*float64(m.frame+i/2)/rateHz))
			if hz == 0 {
				block[i] = float32(0.05 * r.NormFloat64())
			}
		}
		m.deliver(block)
		m.frame += 480
	}
}

// speak delivers half seconds, no faster than session and bench take them.
func (m *mic) speak(t *testing.T, s *session.Session, b *Bench, seconds, hz float64) {
	frames := func() int64 { return min(s.Reading().Frames, b.State().Readings[0].Frames) }
	for range int(seconds * 2) {
		before := frames()
		m.deliverSound(0.5, hz)
		eventually(t, func() bool { return frames() >= before+rateHz/2-960 })
	}
}

func eventually(t *testing.T, met func() bool) {
	t.Helper()
	require.Eventually(t, met, time.Minute, 2*time.Millisecond)
}

func TestBothSidesAreMeteredOnTheSameInput(t *testing.T) {
	m, s := start(t)
	b := Start(s, strips.Of(chain.Settings{GainDB: -6}), strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 1000, Slope: 6}}), dsp.DefaultView())
	defer b.Close()
	m.speak(t, s, b, 3, 1000)
	level := func(side compare.Side) float64 { return b.State().Readings[side].Output[0].RMSDBFS }
	eventually(t, func() bool { return b.State().Readings[0].Frames >= 3*rateHz-480 })
	require.InDelta(t, -26, level(compare.A), 0.05)
	require.InDelta(t, -20, b.State().Readings[compare.A].Input[0].RMSDBFS, 0.05)
	require.InDelta(t, -20, level(compare.B), 0.05)
	require.True(t, b.State().Known)
	require.InDelta(t, 6, b.State().DifferenceDB, 0.1)
	require.Equal(t, [2]float64{}, b.State().GainsDB)

	b.SetMatch(true)
	b.Set(compare.A, strips.Of(chain.Settings{GainDB: 0}))
	m.speak(t, s, b, 7, 1000)
	eventually(t, func() bool { return math.Abs(b.State().DifferenceDB) < 0.1 && b.State().Matched })
	b.Set(compare.A, strips.Of(chain.Settings{GainDB: 10}))
	m.speak(t, s, b, 7, 1000)
	eventually(t, func() bool { return math.Abs(b.State().GainsDB[compare.A]+10) < 0.1 })
	require.Zero(t, b.State().GainsDB[compare.B])
	require.InDelta(t, 10, b.Settings(compare.A).Strips[0].Chain.GainDB, 0)
}

func TestBandsShowTheDifference(t *testing.T) {
	m, s := start(t)
	b := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{HighPass: filter.Cut{Hz: 200, Slope: 24}}), dsp.DefaultView())
	defer b.Close()
	m.speak(t, s, b, 3, 0)
	eventually(t, func() bool { return b.State().Readings[0].Frames >= 3*rateHz-480 })
	d := b.State().BandsDB
	if b.State().Readings[0].BandsUsable == 0 {
		t.Fatal("no bands")
	}
	require.InDelta(t, -24, d[8], 2)  // 100 Hz, an octave below the cutoff: −24.1 dB
	require.InDelta(t, 0, d[18], 0.1) // 1 kHz
}

func TestPhraseFeedsBothSides(t *testing.T) {
	m, s := start(t)
	way, err := output.Open(s, output.Options{Open: (&phones{}).open, Source: output.SideA})
	require.NoError(t, err)
	defer way.Close()
	b := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{GainDB: -3}), dsp.DefaultView(), way)
	defer b.Close()
	require.ErrorContains(t, b.Capture(), "no phrase yet")
	m.speak(t, s, b, 4, 800)
	eventually(t, func() bool { return b.Capture() == nil })
	m.speak(t, s, b, 4, 200) // live goes on at another pitch
	eventually(t, func() bool { st := b.State(); return st.Playing && st.Phrase > 1 && st.Place > 0 })
	level := func(side compare.Side) float64 { return b.State().Readings[side].Input[0].RMSDBFS }
	require.InDelta(t, -20, level(compare.A), 0.1)
	b.PlayPhrase(false)
	eventually(t, func() bool { return !b.State().Playing })
	require.Positive(t, b.State().Phrase, "kept")
	b.PlayPhrase(true)
	eventually(t, func() bool { return b.State().Playing })
}

// TestAPhraseGoesOnToTheNextBench, unless the input has changed since.
func TestAPhraseGoesOnToTheNextBench(t *testing.T) {
	m, s := start(t)
	b := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{}), dsp.DefaultView())
	require.Nil(t, b.Phrase())
	m.speak(t, s, b, 2, 800)
	eventually(t, func() bool { return b.Capture() == nil })
	loop := b.Phrase()
	b.Close()

	next := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{}), dsp.DefaultView())
	next.SetPhrase(nil)
	next.SetPhrase(loop)
	eventually(t, func() bool { st := next.State(); return st.Phrase > 1 && !st.Playing })
	next.PlayPhrase(true)
	eventually(t, func() bool { return next.State().Playing })
	next.Close()

	require.NoError(t, s.SetPick("1"))
	mono := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{}), dsp.DefaultView())
	defer mono.Close()
	mono.SetPhrase(loop)
	require.Nil(t, mono.Phrase())
}

func TestOtherChannelsAreTakenUp(t *testing.T) {
	m, s := start(t)
	b := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{}), dsp.DefaultView())
	defer b.Close()
	m.speak(t, s, b, 2, 800)
	eventually(t, func() bool { return b.Capture() == nil })
	require.NoError(t, s.SetPick("1"))
	m.deliverSound(1, 800)
	eventually(t, func() bool { st := b.State(); return st.Readings[0].Channels == 1 && !st.Playing && st.Phrase == 0 })
}

func TestAClosedSessionDoesNoHarm(t *testing.T) {
	_, s := start(t)
	s.Close()
	b := Start(s, strips.Of(chain.Settings{}), strips.Of(chain.Settings{}), dsp.DefaultView())
	b.Set(compare.A, strips.Of(chain.Settings{GainDB: 1}))
	b.SetView(dsp.DefaultView())
	b.SetMatch(true)
	b.PlayPhrase(true)
	require.Error(t, b.Capture())
	b.Close()
	b.Close()
}
