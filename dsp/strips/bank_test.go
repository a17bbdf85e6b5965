package strips_test

import (
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/internal/signal"
	"rollready/dsp/limiter"
	"rollready/dsp/strips"
)

const rate = 48000

// through runs copies of the strips' inputs in blocks of changing length.
func through(b *strips.Bank, in []float32, count int, at func(frame int)) strips.Block {
	k := strips.Block{Raw: append([]float32(nil), in...), Strips: append([]float32(nil), in...),
		Camera: make([]float32, 2*len(in)/count), Phones: make([]float32, 2*len(in)/count)}
	frames := len(in) / count
	for from, n := 0, 1; from < frames; n = n*5%997 + 1 {
		to := min(frames, from+n)
		if at != nil {
			at(from)
		}
		b.Process(strips.Block{Raw: k.Raw[from*count : to*count], Strips: k.Strips[from*count : to*count],
			Camera: k.Camera[2*from : 2*to], Phones: k.Phones[2*from : 2*to]})
		from = to
	}
	return k
}

func channel(x []float32, c, of int) []float32 {
	var y []float32
	for ; c < len(x); c += of {
		y = append(y, x[c])
	}
	return y
}

func mics(count, frames int) []float32 {
	var each [][]float32
	for i := range count {
		each = append(each, signal.Speech(0.3, rate, frames, uint64(i+1)))
	}
	return signal.Interleave(each...)
}

// people are four unlike strips.
func people(count int) strips.Settings {
	s := strips.Settings{Count: count}
	s.Unlinked = true
	for i, c := range []chain.Settings{
		{GainDB: 6, HighPass: filter.Cut{Hz: 120, Slope: 24}},
		{GainDB: -3, HighPass: filter.Cut{Hz: 80, Slope: 12}, LowPass: filter.Cut{Hz: 12000, Slope: 12}},
		{},
		{GainDB: 12, LowPass: filter.Cut{Hz: 5000, Slope: 6}},
	} {
		s.Strips[i].Chain = c
	}
	return s
}

// A strip is a chain of its own (which dsp/filter checks against scipy's
// tables): bit by bit what a chain of one channel makes of that microphone.
func TestEachStripIsAChain(t *testing.T) {
	for count := 1; count <= strips.Max; count++ {
		in, set := mics(count, rate), people(count)
		b := strips.NewBank(rate, count)
		b.Set(set)
		got := through(b, in, count, nil)
		require.Equal(t, in, got.Raw)
		for i, strip := range set.InUse() {
			c := chain.New(rate, 1)
			c.Set(strip.Chain)
			want := channel(in, i, count)
			c.Process(want)
			require.Equal(t, want, channel(got.Strips, i, count), "strip %d of %d", i, count)
		}
	}
}

// Plain settings pass bits unchanged, minus zeros and all.
func TestPlainSettingsPassBitsUnchanged(t *testing.T) {
	in := append(signal.Noise(0.9, 2000, 3), 0, float32(math.Copysign(0, -1)), math.SmallestNonzeroFloat32, math.MaxFloat32)
	got := through(strips.NewBank(rate, 2), in, 2, nil)
	require.Equal(t, bits(in), bits(got.Camera))
	require.Equal(t, bits(in), bits(got.Phones))
	one := through(strips.NewBank(rate, 1), in, 1, nil)
	require.Equal(t, bits(in), bits(channel(one.Camera, 0, 2)))
	require.Equal(t, bits(in), bits(channel(one.Camera, 1, 2)))
}

func bits(x []float32) []uint32 {
	b := make([]uint32, len(x))
	for i, v := range x {
		b[i] = math.Float32bits(v)
	}
	return b
}

// Feeds are sums of products: checked against that arithmetic.
func TestFeedsAgainstArithmetic(t *testing.T) {
	in, low := mics(3, rate/4), db.ToAmplitude(-10)
	for layout, of := range map[strips.Layout][3][2]float64{
		"both,right,left": {{1, 1}, {0, 1}, {1, 0}},
		"none,left":       {{0, 0}, {1, 0}, {0, 0}},
		strips.Apart:      {{1, 0}, {0, 1}, {1, 0}},
		strips.Together:   {{1, 1}, {1, 1}, {1, 1}},
		strips.Safety:     {{1, low}, {1, low}, {1, low}},
	} {
		for _, ears := range []bool{false, true} {
			set := strips.Settings{Route: layout}
			if ears {
				set.Route, set.Ears = strips.Together, layout
			}
			set.Strips[1].Inverted, set.Strips[2].Muted = true, layout == strips.Apart
			b := strips.NewBank(rate, 3)
			b.Set(set)
			k := through(b, in, 3, nil)
			got := k.Camera
			if ears {
				got = k.Phones
			}
			for f := range len(in) / 3 {
				for side := range 2 {
					x := in[3*f : 3*f+3]
					third := float64(x[2])
					if set.Strips[2].Muted {
						third = 0
					}
					want := of[0][side]*float64(x[0]) - of[1][side]*float64(x[1]) + of[2][side]*third
					require.InDelta(t, want, float64(got[2*f+side]), 1e-7, "%s", layout)
				}
			}
		}
	}
}

func TestSoloIsHeardOnBothEarsAndOnlyThere(t *testing.T) {
	in := mics(2, rate/10)
	set := strips.Settings{Count: 2}
	set.Solo = 2
	b := strips.NewBank(rate, 2)
	b.Set(set)
	got := through(b, in, 2, nil)
	require.Equal(t, in, got.Camera)
	require.Equal(t, channel(in, 1, 2), channel(got.Phones, 0, 2))
	require.Equal(t, channel(in, 1, 2), channel(got.Phones, 1, 2))
}

// With the limiter everything comes later together; feeds are limited as a
// limiter alone would. Where the strips have no channel of their own they are
// not limited themselves.
func TestTheFeedIsLimitedAndTheRestWaits(t *testing.T) {
	for _, route := range strips.Layouts {
		in, set := mics(2, rate), people(2)
		set.Strips[0].Chain.GainDB, set.Route = 20, route
		b, free := strips.NewBank(rate, 2), strips.NewBank(rate, 2)
		free.Set(set)
		set.Limit = chain.Limit{On: true, CeilingDBTP: -3}
		b.Set(set)
		got, want := through(b, in, 2, nil), through(free, in, 2, nil)
		late := 2 * b.LatencyFrames()
		require.Equal(t, in[:len(in)-late], got.Raw[late:])
		for _, feed := range [][2][]float32{{want.Camera, got.Camera}, {want.Phones, got.Phones}} {
			alone := limiter.New(rate, 2)
			alone.SetApart(true)
			alone.SetCeiling(-3, true)
			alone.Process(feed[0])
			require.Equal(t, feed[0], feed[1])
		}
		if route == strips.Apart {
			require.Equal(t, got.Camera, got.Strips)
		} else {
			require.Equal(t, want.Strips[:len(in)-late], got.Strips[late:])
		}
	}
}

// Linked strips are one chain of as many channels, bit by bit, also while its
// settings and the limiter change.
func TestLinkedIsOneChain(t *testing.T) {
	steps := []chain.Settings{{GainDB: 18, HighPass: filter.Cut{Hz: 80, Slope: 24}, Limit: chain.Limit{On: true, CeilingDBTP: -3}},
		{GainDB: -3, LowPass: filter.Cut{Hz: 9000, Slope: 12}}, {GainDB: 12, Limit: chain.Limit{On: true, CeilingDBTP: -6}}, {}}
	for count := 1; count <= 2; count++ {
		in := mics(count, 2*rate)
		c, b := chain.New(rate, count), strips.NewBank(rate, count)
		out, raw := append([]float32(nil), in...), append([]float32(nil), in...)
		k := strips.Block{Raw: append([]float32(nil), in...), Strips: append([]float32(nil), in...), Camera: make([]float32, 4*rate), Phones: make([]float32, 4*rate)}
		for i, set := range steps {
			c.Set(set)
			b.Set(strips.Of(set))
			from, to := i*rate/2, (i+1)*rate/2
			c.ProcessBeside(out[from*count:to*count], raw[from*count:to*count])
			b.Process(strips.Block{Raw: k.Raw[from*count : to*count], Strips: k.Strips[from*count : to*count], Camera: k.Camera[2*from : 2*to], Phones: k.Phones[2*from : 2*to]})
			require.Equal(t, c.LatencyFrames(), b.LatencyFrames())
			require.Equal(t, c.ReductionDB(), b.ReductionDB())
		}
		require.Equal(t, bits(out), bits(k.Strips))
		require.Equal(t, bits(raw), bits(k.Raw))
		for side := range 2 {
			require.Equal(t, bits(channel(out, side%count, count)), bits(channel(k.Camera, side, 2)))
			require.Equal(t, bits(channel(out, side%count, count)), bits(channel(k.Phones, side, 2)))
		}
	}
}

// Muting, turning polarity, other sends and solo glide: on a low tone no step
// goes much beyond the tone's own.
// What nobody hears need not be mixed, and changes nothing else.
func TestNoHeadphonesChangeNothingElse(t *testing.T) {
	set, in := people(4), mics(4, 3000)
	set.Limit = chain.Limit{On: true, CeilingDBTP: -12}
	worn, bare := strips.NewBank(rate, 4), strips.NewBank(rate, 4)
	worn.Set(set)
	bare.Set(set)
	want := through(worn, in, 4, nil)
	got := strips.Block{Raw: append([]float32(nil), in...), Strips: append([]float32(nil), in...), Camera: make([]float32, 2*len(in)/4)}
	bare.Process(got)
	require.Equal(t, bits(want.Raw), bits(got.Raw))
	require.Equal(t, bits(want.Strips), bits(got.Strips))
	require.Equal(t, bits(want.Camera), bits(got.Camera))
}

func TestChangesDoNotClick(t *testing.T) {
	tone := signal.Sine(50, 0.3, rate, rate)
	in := signal.Interleave(tone, signal.Constant(0.2, rate))
	changes := []func(s *strips.Settings){
		func(s *strips.Settings) { s.Strips[0].Muted = true }, func(s *strips.Settings) { s.Strips[0].Muted = false },
		func(s *strips.Settings) { s.Strips[1].Inverted = true }, func(s *strips.Settings) { s.Route = strips.Safety },
		func(s *strips.Settings) { s.Solo = 1 }, func(s *strips.Settings) { s.Solo, s.Strips[1].Inverted = 0, false },
		func(s *strips.Settings) { s.Route = strips.Together },
	}
	b, set, next := strips.NewBank(rate, 2), strips.Settings{Count: 2}, 0
	got := through(b, in, 2, func(frame int) {
		if next < len(changes) && frame > (next+1)*rate/10 {
			changes[next](&set)
			b.Set(set)
			next++
		}
	})
	require.Equal(t, len(changes), next)
	own, moved := 0.3*2*math.Pi*50/rate, 2*0.5*1.5/(0.01*rate) // a glide of 3t²−2t³ is steepest at 1.5
	for _, feed := range [][]float32{got.Camera, got.Phones} {
		for side := range 2 {
			x := channel(feed, side, 2)
			for i := 1; i < len(x); i++ {
				require.Less(t, math.Abs(float64(x[i]-x[i-1])), own+moved, "frame %d", i)
			}
		}
	}
}

func TestNothingIsAllocatedAndEverythingStaysFinite(t *testing.T) {
	b, set := strips.NewBank(rate, strips.Max), people(strips.Max)
	set.Route = strips.Together
	b.Set(set)
	in := mics(strips.Max, 480)
	in[7], in[100], in[1000] = float32(math.NaN()), float32(math.Inf(1)), math.MaxFloat32
	k := strips.Block{Raw: in, Strips: append([]float32(nil), in...), Camera: make([]float32, 960), Phones: make([]float32, 960)}
	require.Zero(t, testing.AllocsPerRun(50, func() { b.Process(k) }))
	set.Strips[1].Chain.GainDB, set.Route = -7, strips.Safety
	for _, x := range [][]float32{k.Strips, k.Camera, k.Phones} {
		for _, v := range x {
			require.Zero(t, v-v)
		}
	}
	k.Raw, k.Strips = mics(strips.Max, 480), mics(strips.Max, 480)
	set.Strips[1].Chain.GainDB, set.Route = -7, strips.Safety
	b.Set(set)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	b.Process(k)
	runtime.ReadMemStats(&after)
	require.Equal(t, before.Mallocs, after.Mallocs, "while settings are taken up")
}

func BenchmarkBank(bench *testing.B) {
	for name, count := range map[string]int{"one": 1, "two": 2, "four": 4} {
		bench.Run(name, func(bench *testing.B) {
			b := strips.NewBank(rate, count)
			set := people(count)
			set.Route = strips.Together
			b.Set(set)
			in := mics(count, 480)
			k := strips.Block{Raw: in, Strips: append([]float32(nil), in...), Camera: make([]float32, 960), Phones: make([]float32, 960)}
			bench.ReportAllocs()
			for bench.Loop() {
				copy(k.Strips, in)
				b.Process(k)
			}
		})
	}
}

// Two people at full scale at once, folded to both ears, stay under it; each by
// itself passes bit by bit.
func TestFoldedStripsStayUnderFullScale(t *testing.T) {
	in := make([]float32, 2*rate)
	for f := range rate {
		v := float32(math.Sin(2 * math.Pi * 997 * float64(f) / rate))
		in[2*f], in[2*f+1] = v, v
	}
	var e strips.Ears
	set := strips.Settings{}.Fit(2)
	set.Ears = strips.Together
	e.Set(set)
	f, to := e.Fold(rate, 2), make([]float32, 2*rate)
	f.Process(to, in)
	for i, v := range to {
		require.LessOrEqual(t, math.Abs(float64(v)), 1.0, i)
	}
	require.Positive(t, f.LatencyFrames())
	set.Ears = strips.Apart
	e.Set(set)
	f = e.Fold(rate, 2)
	f.Process(to, in)
	require.Equal(t, bits(in), bits(to))
	require.Zero(t, f.LatencyFrames())
	require.Zero(t, testing.AllocsPerRun(10, func() { f.Process(to[:960], in[:960]) }))
}
