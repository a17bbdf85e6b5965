package output

import (
	"errors"
	"math"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/mixer"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
	"rollready/presets"
)

const rateHz = 48000

// mic is an input that delivers when the test says so.
type mic struct {
	format  capture.Format
	deliver func([]float32)
	done    chan struct{}
}

func newMic(channels int) *mic {
	return &mic{format: capture.Format{RateHz: rateHz, Channels: channels}, done: make(chan struct{})}
}

func (m *mic) Name() string                        { return "Mic" }
func (m *mic) Kind() capture.Kind                  { return capture.File }
func (m *mic) Format() capture.Format              { return m.format }
func (m *mic) Start(deliver func([]float32)) error { m.deliver = deliver; return nil }
func (m *mic) Done() <-chan struct{}               { return m.done }
func (m *mic) Close() error                        { return nil }

// phones is an output device that asks for frames when the test says so.
type phones struct {
	format capture.Format
	fill   atomic.Pointer[func([]float32)]
	done   chan struct{}
	closed atomic.Bool
}

func newPhones(hz, channels int) *phones {
	return &phones{format: capture.Format{RateHz: hz, Channels: channels}, done: make(chan struct{})}
}

func (p *phones) Format() capture.Format { return p.format }
func (p *phones) PeriodFrames() int      { return p.format.RateHz / 100 }
func (p *phones) Volume() mixer.Setting  { return mixer.Setting{} }
func (p *phones) Start(fill func([]float32)) error {
	p.fill.Store(&fill)
	return nil
}
func (p *phones) Done() <-chan struct{} { return p.done }
func (p *phones) Close() error          { p.closed.Store(true); return nil }

// pull asks for so many frames.
func (p *phones) pull(frames int) []float32 {
	block := make([]float32, frames*p.format.Channels)
	(*p.fill.Load())(block)
	return block
}

// drawer opens its devices one after the other, then none.
type drawer struct {
	mu   sync.Mutex
	next []*phones
}

var errNone = errors.New("not there")

func (d *drawer) open() (Device, presets.Output, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.next) == 0 {
		return nil, presets.Output{}, errNone
	}
	p := d.next[0]
	d.next = d.next[1:]
	return p, presets.Output{Name: "Phones"}, nil
}

// rig is a session on a mic, with a way out to phones, in simulated time.
type rig struct {
	mic     *mic
	session *session.Session
	way     *Way
	phones  *phones
	drawer  *drawer
	sound   func(frame int, channel int) float64
	sent    int
	inPPM   float64 // how much faster the mic's clock runs
	jitter  float64 // seconds by which a callback may come late
	random  *rand.Rand
	inAt    float64 // seconds, when the next block is due
	outAt   float64
}

func newRig(t testing.TB, set chain.Settings, out *phones, o Options) *rig {
	t.Helper()
	r := &rig{mic: newMic(2), phones: out, drawer: &drawer{next: []*phones{out}}, random: rand.New(rand.NewPCG(2, 3)),
		sound: func(int, int) float64 { return 0 }}
	var err error
	r.session, err = session.Open(session.Options{Open: func() (capture.Source, error) { return r.mic, nil }, Strips: strips.Of(set), View: dsp.DefaultView()})
	require.NoError(t, err)
	t.Cleanup(r.session.Close)
	o.Open = r.drawer.open
	r.way, err = open(r.session, o, time.Hour) // time is simulated: a pause of the test says nothing of the device
	require.NoError(t, err)
	t.Cleanup(r.way.Close)
	return r
}

// send delivers the next 10 ms of the sound.
func (r *rig) send() {
	block := make([]float32, rateHz/100*2)
	for i := range block {
		block[i] = float32(r.sound(r.sent+i/2, i%2))
	}
	r.sent += rateHz / 100
	r.mic.deliver(block)
}

// play lets both clocks run for so many seconds of the phones' time and gives
// the left channel of what they played.
func (r *rig) play(seconds float64) (left []float32) {
	for end := r.outAt + seconds; r.outAt < end-1e-9; r.outAt += 0.01 {
		late := r.random.Float64() * r.jitter
		for r.inAt <= r.outAt+late {
			r.send()
			r.inAt += 0.01 / (1 + r.inPPM*1e-6)
		}
		block := r.phones.pull(r.phones.format.RateHz / 100)
		for i := 0; i < len(block); i += r.phones.format.Channels {
			left = append(left, block[i])
		}
	}
	return left
}

func tone(hz, amplitude float64) func(int, int) float64 {
	return func(frame, _ int) float64 { return amplitude * math.Sin(2*math.Pi*hz*float64(frame)/rateHz) }
}

func peak(x []float32) (top float64) {
	for _, v := range x {
		top = max(top, math.Abs(float64(v)))
	}
	return top
}

// bend is the greatest second difference: a step stands far above a tone's.
func bend(x []float32) (most float64) {
	for i := 2; i < len(x); i++ {
		most = max(most, math.Abs(float64(x[i])-2*float64(x[i-1])+float64(x[i-2])))
	}
	return most
}

// toneBend is the bend of a sine.
func toneBend(hz, amplitude, rate float64) float64 {
	w := 2 * math.Pi * hz / rate
	return amplitude * w * w
}

func eventually(t *testing.T, what string, met func() bool) {
	t.Helper()
	require.Eventually(t, met, time.Minute, 2*time.Millisecond, what)
}
