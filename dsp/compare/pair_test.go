package compare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/internal/speech"
	"rollready/dsp/loudness"
	"rollready/dsp/strips"
)

func TestEachSideIsItsChain(t *testing.T) {
	settings := [2]chain.Settings{
		{GainDB: 6, HighPass: filter.Cut{Hz: 80, Slope: 24}},
		{GainDB: -3, LowPass: filter.Cut{Hz: 8000, Slope: 12}},
	}
	p := NewPair(rateHz, 2)
	x := noise(4, 9600)
	for s, c := range settings {
		p.Set(Side(s), strips.Of(c))
		alone := chain.New(rateHz, 2)
		alone.Set(c)
		want := append([]float32(nil), x...)
		alone.Process(want)
		var got []float32
		q := NewPair(rateHz, 2)
		q.Set(Side(s), strips.Of(c))
		for at := 0; at < len(x); at += 960 {
			got = append(got, q.Process(x[at : at+960])[s].Strips...)
		}
		require.Equal(t, want, got)
	}
}

// A side is all strips with settings of their own, and where they go.
func TestEachSideIsAllStrips(t *testing.T) {
	set := strips.Settings{}.Fit(2)
	set.Unlinked, set.Route = true, strips.Together
	set.Strips[0].Chain.GainDB, set.Strips[1].Chain.GainDB, set.Strips[1].Inverted = 6, -3, true
	p, x := NewPair(rateHz, 2), noise(4, 960)
	p.Set(B, set)
	sides := p.Process(x)
	require.Equal(t, x, sides[A].Strips)
	require.Nil(t, sides[A].Camera, "it gets what leaves the strips")
	for f := range 480 {
		one, two := float64(x[2*f])*math.Pow(10, 6.0/20), -float64(x[2*f+1])*math.Pow(10, -3.0/20)
		require.InDelta(t, one, float64(sides[B].Strips[2*f]), 1e-6)
		require.InDelta(t, two, float64(sides[B].Strips[2*f+1]), 1e-6)
		require.InDelta(t, one+two, float64(sides[B].Camera[2*f]), 1e-6)
		require.InDelta(t, one+two, float64(sides[B].Camera[2*f+1]), 1e-6)
	}
}

func TestGainMovesSmoothly(t *testing.T) {
	p := NewPair(rateHz, 1)
	x := sine(100, 0.5, 0, 48000)
	var out []float32
	for at := 0; at < len(x); at += 480 {
		if at == 9600 {
			p.SetGainDB(B, -6.0206)
		}
		out = append(out, p.Process(x[at : at+480])[B].Strips...)
	}
	require.LessOrEqual(t, steepest(out), steepest(x)+0.5*0.5/(gainSeconds*rateHz))
	require.InDelta(t, 0.25, float64(out[38400+120]), 1e-4) // a crest
}

// The match makes both sides equally loud, by an independent measurement of
// the whole after BS.1770.
func TestMatchedSidesAreEquallyLoud(t *testing.T) {
	voice, hz := speech.Load(t)
	p := NewPair(hz, 1)
	p.Set(A, strips.Of(chain.Settings{GainDB: 4}))
	p.Set(B, strips.Of(chain.Settings{GainDB: -2, HighPass: filter.Cut{Hz: 300, Slope: 24}}))
	m := NewMatcher(hz, 1, 10)
	var whole [2]*loudness.Meter
	for s := range whole {
		whole[s] = loudness.New(hz, 1)
	}
	for at := 0; at+hz/100 <= len(voice); at += hz / 100 {
		sides := p.Process(voice[at : at+hz/100])
		out := [2][]float32{sides[A].Strips, sides[B].Strips}
		m.Process(out)
		for s := range whole {
			whole[s].Process(out[s])
		}
	}
	lu, ok := m.DifferenceDB()
	require.True(t, ok)
	require.Less(t, lu, -6.0)
	require.InDelta(t, whole[B].Integrated()-whole[A].Integrated(), lu, 0.3)
	gains := m.GainsDB()
	require.InDelta(t, lu, gains[A], 1e-12)
	require.Zero(t, gains[B])
}

func TestMatchStandsThroughSilence(t *testing.T) {
	m := NewMatcher(rateHz, 1, 3)
	_, ok := m.DifferenceDB()
	require.False(t, ok)
	require.Equal(t, [2]float64{}, m.GainsDB())
	a, b := sine(1000, 0.1, 0, 3*rateHz), sine(1000, 0.2, 0, 3*rateHz)
	m.Process([2][]float32{a, b})
	lu, ok := m.DifferenceDB()
	require.True(t, ok)
	require.InDelta(t, 20*math.Log10(2), lu, 0.01)
	silence := make([]float32, 5*rateHz)
	m.Process([2][]float32{silence, silence})
	after, _ := m.DifferenceDB()
	require.InDelta(t, lu, after, 0.01)
}

func TestBands(t *testing.T) {
	var a, b dsp.Reading
	a.BandsUsable, b.BandsUsable = 31, 31
	for i := range a.Bands {
		a.Bands[i].LevelDBFS, b.Bands[i].LevelDBFS = -40, -40+float64(i)
	}
	a.Bands[3].LevelDBFS, b.Bands[3].LevelDBFS = math.Inf(-1), math.Inf(-1)
	d := Bands(a, b)
	require.Equal(t, 7.0, d[7])
	require.Zero(t, d[3])
	require.Zero(t, d[31])
}

func TestPairAndMatcherDoNotAllocate(t *testing.T) {
	p, m, x := NewPair(rateHz, 2), NewMatcher(rateHz, 2, 3), noise(1, 960)
	p.Set(A, strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}}))
	require.Zero(t, testing.AllocsPerRun(100, func() {
		out := p.Process(x)
		m.Process([2][]float32{out[A].Strips, out[B].Strips})
	}))
}

func BenchmarkPair(b *testing.B) {
	p, x := NewPair(rateHz, 2), noise(1, 960)
	p.Set(A, strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 80, Slope: 24}}))
	p.Set(B, strips.Of(chain.Settings{GainDB: 3, HighPass: filter.Cut{Hz: 120, Slope: 12}, LowPass: filter.Cut{Hz: 12000, Slope: 12}}))
	b.ReportAllocs()
	for b.Loop() {
		p.Process(x)
	}
}
