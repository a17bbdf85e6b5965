package match

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/signal"
)

const worldHz = 48000

// heard is how a device heard the world from a moment on. Its samples are
// computed by a windowed sinc of the test's own, not by what is tested.
type heard struct {
	rateHz         int
	fromS, seconds float64
	ppm            float64 // its clock is so much fast
	gainDB         float64
	noise          float64 // amplitude
	echo           float64 // share of reflections
	seed           uint64
}

func (h heard) frames(world []float32) []float32 {
	r := rand.New(rand.NewPCG(h.seed, 9))
	room := reflections(world, h.echo, h.seed)
	x := make([]float32, int(h.seconds*float64(h.rateHz)))
	gain := math.Pow(10, h.gainDB/20)
	step := worldHz / (float64(h.rateHz) * (1 + h.ppm*1e-6))
	for i := range x {
		x[i] = float32(gain*at(room, h.fromS*worldHz+float64(i)*step) + h.noise*r.NormFloat64())
	}
	return x
}

// hann is the window of the sinc, in thousandths of its half width.
var hann = func() (w [1002]float64) {
	for i := range w {
		w[i] = 0.5 + 0.5*math.Cos(math.Pi*float64(min(i, 1000))/1000)
	}
	return w
}()

// at reads between samples.
func at(x []float32, place float64) float64 {
	const reach = 16
	whole := int(math.Floor(place))
	part := place - float64(whole)
	if part == 0 {
		part = 1e-12
	}
	sine := math.Sin(math.Pi*part) / math.Pi
	sum := 0.0
	for k := max(0, whole-reach+1); k <= min(whole+reach, len(x)-1); k++ {
		d := place - float64(k)
		if k == whole {
			d = part
		}
		s := sine / d
		if (k-whole)%2 != 0 {
			s = -s
		}
		sum += s * hann[int(math.Abs(d)*1000/reach)] * float64(x[k])
	}
	return sum
}

// reflections adds a room of 60 echoes within 80 ms.
func reflections(x []float32, share float64, seed uint64) []float32 {
	if share == 0 {
		return x
	}
	r := rand.New(rand.NewPCG(seed, 11))
	y := append([]float32(nil), x...)
	for range 60 {
		delay := 100 + r.IntN(3700)
		g := float32(share * math.Exp(-float64(delay)/1500) * (2*r.Float64() - 1))
		for i := delay; i < len(x); i++ {
			y[i] += g * x[i-delay]
		}
	}
	return y
}

func printOf(rateHz int, x []float32) Print {
	p := NewPrinter(rateHz, 1)
	signal.Cut(x, 1, p.Process)
	return p.Print()
}

func recording(rateHz int, x []float32) Recording {
	p := printOf(rateHz, x)
	return Recording{p.Seconds, Activity(p), NewWaves(rateHz, func(dst []float32, from int64) error {
		clear(dst)
		for i := range dst {
			if k := from + int64(i); k >= 0 && k < int64(len(x)) {
				dst[i] = x[k]
			}
		}
		return nil
	})}
}

func speech(seconds float64, seed uint64) []float32 {
	return signal.Speech(0.3, worldHz, int(seconds*worldHz), seed)
}

// best is the likeliest place of a clip in takes.
func best(t *testing.T, clip Print, takes ...Print) (take int, lagS float64) {
	t.Helper()
	var x Index
	for i, p := range takes {
		x.Add(i, p)
	}
	hits := NewSearcher().Search(&x, clip)
	require.NotEmpty(t, hits)
	top := hits[0]
	for _, h := range hits {
		if h.Z > top.Z {
			top = h
		}
	}
	return top.Take, top.LagS
}

func TestAClipIsFoundAndLaidExactly(t *testing.T) {
	world, other := speech(16, 1), speech(16, 2)
	take := heard{rateHz: 48000, fromS: 2, seconds: 12, noise: 0.0005, seed: 1}
	takeX := take.frames(world)
	for name, c := range map[string]heard{
		"44.1 kHz, fast, quiet":  {rateHz: 44100, fromS: 4.123456, seconds: 8, ppm: 95, gainDB: -30, noise: 0.00002},
		"four seconds in a room": {rateHz: 48000, fromS: 7.7, seconds: 4, echo: 0.5, noise: 0.002},
		"begins before, noisy":   {rateHz: 48000, fromS: 0.5, seconds: 7, ppm: -20, noise: 0.02},
	} {
		t.Run(name, func(t *testing.T) {
			c.seed = 7
			x := c.frames(world)
			clip := recording(c.rateHz, x)
			which, lag := best(t, printOf(c.rateHz, x), printOf(48000, other), printOf(48000, takeX))
			require.Equal(t, 1, which)
			require.InDelta(t, c.fromS-take.fromS, lag, 0.05)
			f, err := Try(clip, recording(48000, takeX), lag)
			require.NoError(t, err)
			f, err = Align(clip, recording(48000, takeX), f)
			require.NoError(t, err)
			require.Empty(t, f.Jumps)
			require.True(t, f.Belongs(), "%+v", f)
			rate := 1 / (1 + c.ppm*1e-6)
			for _, at := range []float64{f.FromS, f.ToS} {
				require.InDelta(t, c.fromS-take.fromS+at*rate, f.TakeS(at), 0.00005, "at %g of %+v", at, f)
			}
			g, err := Try(clip, recording(48000, other), lag)
			require.NoError(t, err)
			require.False(t, g.Belongs(), "%+v", g)
		})
	}
}

// Time that the clip lost shows as a jump; the offset stays that of its begin.
func TestLostTimeIsFound(t *testing.T) {
	world := speech(26, 3)
	clip := heard{rateHz: 48000, fromS: 1, seconds: 24, ppm: 30, noise: 0.001, seed: 2}
	x := clip.frames(world)
	const at, lost = 12 * 48000, 1024
	cut := append(append([]float32(nil), x[:at]...), x[at+lost:]...)
	f, err := Align(recording(48000, cut), recording(48000, world), Fit{OffsetS: 1.01})
	require.NoError(t, err)
	require.Len(t, f.Jumps, 1, "%+v", f)
	require.InDelta(t, 12, f.Jumps[0].AtS, 0.15)
	require.InDelta(t, lost/48000.0, f.Jumps[0].LostS, 0.0001)
	require.InDelta(t, 1, f.OffsetS, 0.0001)
	require.InDelta(t, -30, f.PPM, 1)
}

func BenchmarkPrint(b *testing.B) {
	x := signal.Interleave(speech(10, 1), speech(10, 2))
	for b.Loop() {
		p := NewPrinter(48000, 2)
		p.Process(x)
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/10, "ms/s")
}

func BenchmarkSearch(b *testing.B) {
	p := printOf(48000, speech(60, 1))
	var long Print
	for range 10 {
		long.Hops = append(long.Hops, p.Hops...)
	}
	var x Index
	x.Add(0, long)
	s := NewSearcher()
	for b.Loop() {
		s.Search(&x, long)
	}
}
