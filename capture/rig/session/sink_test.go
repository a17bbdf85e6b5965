package session

import (
	"errors"
	"io"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/capture/wavfile"
	"rollready/dsp/chain"
	"rollready/dsp/strips"
)

// memory is a sink that keeps what it gets and adds a tone of its own.
type memory struct {
	in, out []float32
	add     float32
}

func (m *memory) MixSlate(out, _, _ []float32) {
	for i := range out {
		out[i] += m.add
	}
}

func (m *memory) Feed(in, out []float32) {
	m.in, m.out = append(m.in, in...), append(m.out, out...)
}

// A sink gets both sides of the chain in step; what it mixes in is in the taps
// and the meters too; frames of another format do not reach it.
func TestASinkGetsBothSidesOfTheChain(t *testing.T) {
	src := newFake("lavalier", 2)
	s := run(t, Options{Open: src.open, Strips: strips.Of(chain.Settings{GainDB: 20})})
	require.Equal(t, capture.Format{RateHz: 48000, Channels: 2}, s.Format())
	tap := s.AddTap(OutputFrames, 1)
	k := &memory{add: 0.125}
	s.SetSink(k, s.Format())
	src.send(3000, 0.03125)
	require.Len(t, k.in, 6000)
	require.Len(t, k.out, 6000)
	for i := range k.in {
		require.Equal(t, float32(0.03125), k.in[i])
		require.InDelta(t, 0.3125+0.125, k.out[i], 1e-6)
	}
	tapped := make([]float32, 6000)
	require.Equal(t, 3000, tap.Output.Read(tapped))
	require.Equal(t, k.out, tapped)
	require.NoError(t, s.SetPick("1"))
	src.send(100, 0.5)
	require.Len(t, k.in, 6000)
	require.NoError(t, s.SetPick(capture.Stereo))
	src.send(100, 0.5)
	require.Len(t, k.in, 6200)
	s.SetSink(nil, capture.Format{})
	src.send(100, 0.5)
	require.Len(t, k.in, 6200)
}

// read gives the frames of a take of one channel: processed, input, safety.
func read(t *testing.T, path string) (frames [][3]float32) {
	r, err := wavfile.Open(path)
	require.NoError(t, err)
	defer r.Close()
	require.Equal(t, 3, r.Format().Channels)
	for block := make([]float32, 3); ; {
		if _, err = r.Read(block); errors.Is(err, io.EOF) {
			return frames
		}
		require.NoError(t, err)
		frames = append(frames, [3]float32(block))
	}
}

// A click lands on the same frame in every track of a take, whether the
// limiter is on, off, or switched while the take rolls, in the pre-record, and
// after the input was away. Only the slate is in the processed tracks alone,
// from its marker on.
func TestTheTracksOfATakeLieOverEachOther(t *testing.T) {
	mics := &queue{}
	mic := newFake("lavalier", 1)
	mics.add(mic)
	limited := chain.Settings{Limit: chain.Limit{On: true, CeilingDBTP: -1}}
	s := run(t, Options{Open: mics.open, Strips: strips.Of(limited)})
	r, err := take.New(take.Config{Dir: t.TempDir(), Format: s.Format(), Safety: true, Encoding: wavfile.Float32})
	require.NoError(t, err)
	s.SetSink(r, s.Format())
	random := rand.New(rand.NewPCG(1, 2))
	play := func(blocks int) {
		for range blocks {
			block := make([]float32, 480)
			block[random.IntN(len(block))] = 0.5
			mic.sendBlock(block)
		}
	}

	play(30)
	begun, err := r.Roll(take.What{Scene: "1"})
	require.NoError(t, err)
	require.Equal(t, int64(30*480), begun.LeadFrames)
	play(30)
	s.SetStrips(strips.Of(chain.Settings{}))
	play(30)
	s.SetStrips(strips.Of(limited))
	play(30)
	close(mic.done)
	eventually(t, "lost", func() bool { return s.Status().Lost && r.Status().Lost })
	mic = newFake("lavalier", 1)
	mics.add(mic)
	eventually(t, "found again", func() bool { return s.audio.current.Load().is(mic) })
	r.Slate()
	play(60)
	got, err := r.Stop()
	require.NoError(t, err)
	require.NoError(t, r.Close())

	slate := int64(-1)
	for _, m := range got.Markers {
		if m.Text == "slate" {
			slate = m.Frame
		}
	}
	require.Positive(t, slate)
	clicks := 0
	for i, f := range read(t, got.Path) {
		if f[1] > 0.4 {
			clicks++
		}
		require.InDelta(t, f[0]*0.31622776, f[2], 1e-7, "frame %d", i)
		if int64(i) < slate || int64(i) >= slate+48000*3/10 {
			require.Equal(t, f[0], f[1], "frame %d", i)
		}
	}
	require.Greater(t, clicks, 160, "but for those inside a fade")
}

// is tells whether a feed is that of a source; a feed may be missing.
func (f *feed) is(src capture.Source) bool { return f != nil && f.source == src }
