package take

import (
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

const rate = 48000

// rig is a recorder whose clock and sound the test moves by hand.
type rig struct {
	t        testing.TB
	r        *Recorder
	now      time.Time
	random   *rand.Rand
	channels int
	in, out  []float32 // everything fed
}

const blockFrames = 480

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.Local)

func newRig(t testing.TB, c Config) *rig {
	g := &rig{t: t, now: noon, random: rand.New(rand.NewPCG(3, 4))}
	c.Now = func() time.Time { return g.now }
	set(&c.Format, capture.Format{RateHz: rate, Channels: 2})
	set(&c.Dir, t.TempDir())
	if c.DiskFree == nil {
		c.DiskFree = func(string) (int64, error) { return 1 << 40, nil }
	}
	r, err := newRecorder(c)
	require.NoError(t, err)
	g.r, g.channels = r, c.Format.Channels
	return g
}

// feed plays noise of so many blocks of 10 ms through, output half as loud.
func (g *rig) feed(blocks int) {
	for range blocks {
		g.now = g.now.Add(10 * time.Millisecond)
		in, out := make([]float32, blockFrames*g.channels), make([]float32, blockFrames*g.channels)
		for i := range in {
			in[i] = float32(g.random.IntN(1<<16)-1<<15) / (1 << 17)
			out[i] = in[i] / 2
		}
		g.r.MixSlate(out, nil, nil)
		g.in, g.out = append(g.in, in...), append(g.out, out...)
		g.r.Feed(in, out)
	}
}

// play feeds and lets the recorder work, for so many seconds.
func (g *rig) play(seconds float64) {
	for range int(seconds*25 + 0.5) {
		g.feed(4)
		g.r.step(g.now)
	}
}

// silent lets time pass without frames.
func (g *rig) silent(seconds float64) {
	for range int(seconds*25 + 0.5) {
		g.now = g.now.Add(40 * time.Millisecond)
		g.r.step(g.now)
	}
}

func (g *rig) roll(w What) Take {
	t, err := g.r.Roll(w)
	require.NoError(g.t, err)
	return t
}

func (g *rig) stop() Take {
	t, err := g.r.Stop()
	require.NoError(g.t, err)
	return t
}

// tracks lays the frames from a to b as the file has them.
func (g *rig) tracks(a, b int64, input, safety bool) []float32 {
	c := int64(g.channels)
	var want []float32
	for f := a; f < b; f++ {
		out := g.out[f*c : (f+1)*c]
		want = append(want, out...)
		if input {
			want = append(want, g.in[f*c:(f+1)*c]...)
		}
		if safety {
			for _, x := range out {
				want = append(want, x*0.31622776)
			}
		}
	}
	return want
}

func within(t testing.TB, want, got []float32, tolerance float32) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		if d := want[i] - got[i]; d > tolerance || d < -tolerance {
			t.Fatalf("sample %d: want %v, got %v", i, want[i], got[i])
		}
	}
}

func base(t Take) string { return filepath.Base(t.Path) }
