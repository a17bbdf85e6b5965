package session

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/dsp/chain"
)

// memory is a sink that keeps what it gets and adds a tone of its own.
type memory struct {
	in, out []float32
	add     float32
}

func (m *memory) MixSlate(out []float32) {
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
	s := run(t, Options{Open: src.open, Chain: chain.Settings{GainDB: 20}})
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
