package limiter

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/speech"
)

const toleranceDB = 0.1 // above the ceiling, by an oversampled reference

func on(rateHz, channels int, ceilingDBTP float64) *Limiter {
	l := New(rateHz, channels)
	l.SetCeiling(ceilingDBTP, true)
	return l
}

// run limits a copy, cut into blocks of changing length.
func run(l *Limiter, x []float32) []float32 {
	out := append([]float32(nil), x...)
	for at, n := 0, 1; at < len(out); n = n*5%997 + 1 {
		end := min(len(out), at+n*len(l.channels))
		l.Process(out[at:end])
		at = end
	}
	return out
}

func sine(rateHz int, hz, amplitude float64, n int) []float32 {
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/float64(rateHz)+0.3))
	}
	return x
}

func square(rateHz int, hz, amplitude float64, n int) []float32 {
	x := sine(rateHz, hz, 1, n)
	for i, v := range x {
		x[i] = float32(math.Copysign(amplitude, float64(v)))
	}
	return x
}

func noise(n int, draw func(*rand.Rand) float64) []float32 {
	r := rand.New(rand.NewPCG(3, 5))
	x := make([]float32, n)
	for i := range x {
		x[i] = float32(draw(r))
	}
	return x
}

func scale(x []float32, gainDB float64) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = v * float32(db.ToAmplitude(gainDB))
	}
	return out
}

func TestTruePeakStaysUnderTheCeiling(t *testing.T) {
	voice, voiceHz := speech.Load(t)
	n, levels := 96000, []float64{3, 12, 30}
	references := map[string]interpolator{
		"printed filter of BS.1770-5 Annex 2":      annexTwo(t),
		"Kaiser sinc of general-purpose libraries": kaiserSinc(4, 20, 5),
	}
	long := kaiserSinc(4, 256, 8) // for what has nothing close to half the sample rate
	for name, c := range map[string]struct {
		rateHz int
		x      []float32
		long   bool
	}{
		"white noise":       {48000, noise(n, (*rand.Rand).NormFloat64), false},
		"uniform noise":     {48000, noise(n, func(r *rand.Rand) float64 { return 2*r.Float64() - 1 }), false},
		"random signs":      {48000, noise(n, func(r *rand.Rand) float64 { return math.Copysign(1, r.Float64()-0.5) }), false},
		"square 99.7 Hz":    {48000, square(48000, 99.7, 1, n), false},
		"square 997 Hz":     {48000, square(48000, 997, 1, n), false},
		"square 3 kHz":      {48000, square(48000, 3000, 1, n), false},
		"square 7919 Hz":    {48000, square(48000, 7919.3, 1, n), false},
		"sine 12 kHz":       {48000, sine(48000, 12000, 1, n), true},
		"sine 17.3 kHz":     {48000, sine(48000, 17300, 1, n), true},
		"sine 50 Hz":        {48000, sine(48000, 50, 1, n), true},
		"sine 997 Hz, 96 k": {96000, sine(96000, 997, 1, n), true},
		"speech":            {voiceHz, voice, false},
	} {
		for _, hot := range levels {
			x := scale(c.x, hot)
			out := run(on(c.rateHz, 1, -1), x)
			for by, ref := range references {
				require.LessOrEqual(t, ref.peakDB(out), -1+toleranceDB, "%s +%g dB by the %s", name, hot, by)
				t.Logf("%s +%g dB: %.3f by the %s", name, hot, ref.peakDB(out), by)
			}
			if c.long {
				require.LessOrEqual(t, long.peakDB(out), -1+toleranceDB, "%s +%g dB by a long filter", name, hot)
			}
		}
	}
}

func TestBelowTheCeilingBitsPassDelayed(t *testing.T) {
	voice, rateHz := speech.Load(t)
	for name, x := range map[string][]float32{
		"speech":            scale(voice, -annexTwo(t).peakDB(voice)-6.2),
		"sine at −6.05 dB":  sine(48000, 1000, db.ToAmplitude(-6.05), 48000),
		"square at −12 dB":  square(48000, 440, 0.25, 48000),
		"smallest numbers":  {math.SmallestNonzeroFloat32, -math.SmallestNonzeroFloat32, 0, 1e-30},
		"nothing but zeros": make([]float32, 1000),
	} {
		l := on(rateHz, 1, -6)
		d := l.LatencyFrames()
		out := run(l, append(append([]float32(nil), x...), make([]float32, d)...))
		require.Equal(t, x, out[d:], name)
		require.Zero(t, l.ReductionDB(), name)
	}
}

func TestFullGainReturnsBitForBit(t *testing.T) {
	const rateHz = 48000
	x := append(noise(4800, (*rand.Rand).NormFloat64), sine(rateHz, 500, 0.2, 3*rateHz)...)
	l := on(rateHz, 1, -6)
	d := l.LatencyFrames()
	out := run(l, x)
	tail := 2 * rateHz // the release takes less than a second
	require.Equal(t, x[len(x)-tail-d:len(x)-d], out[len(out)-tail:])
}

func TestOffIsNothing(t *testing.T) {
	l := New(48000, 2)
	x := noise(2000, (*rand.Rand).NormFloat64)
	require.Equal(t, x, run(l, x))
	require.Zero(t, l.LatencyFrames())
}

// A steady tone over the ceiling gets a steady gain: what is left after taking
// the tone out is rounding.
func TestSteadyToneStaysClean(t *testing.T) {
	const rateHz = 48000
	for _, hz := range []float64{50, 100, 440, 1000, 7000} {
		out := run(on(rateHz, 1, -6), sine(rateHz, hz, 1.5, 3*rateHz))[2*rateHz:]
		require.Less(t, residueDB(out, hz, rateHz), -100.0, "%g Hz", hz)
	}
}

// residueDB fits a sine of that frequency over whole periods and gives what
// remains, relative to it.
func residueDB(x []float32, hz, rateHz float64) float64 {
	var s, c float64
	for i, v := range x {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
		s, c = s+float64(v)*sin, c+float64(v)*cos
	}
	s, c = 2*s/float64(len(x)), 2*c/float64(len(x))
	var rest, all float64
	for i, v := range x {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
		fit := s*sin + c*cos
		rest, all = rest+(float64(v)-fit)*(float64(v)-fit), all+fit*fit
	}
	return db.FromPower(rest / all)
}

func TestCutOfBlocksAndChannelsDoNotMatter(t *testing.T) {
	left := scale(noise(20000, (*rand.Rand).NormFloat64), 6)
	right := sine(48000, 300, 0.1, len(left))
	both := make([]float32, 2*len(left))
	for i := range left {
		both[2*i], both[2*i+1] = left[i], right[i]
	}
	l := on(48000, 2, -3)
	whole := append([]float32(nil), both...)
	l.Process(whole)
	require.Equal(t, run(on(48000, 2, -3), both), whole)

	// linked: the quiet channel takes the loud one's gain
	d := l.LatencyFrames()
	alone := run(on(48000, 1, -3), left)
	for i := d + 100; i < len(left); i++ {
		require.Equal(t, alone[i], whole[2*i])
		if math.Abs(float64(left[i-d])) > 0.5 {
			want := float64(right[i-d]) * float64(alone[i]) / float64(left[i-d])
			require.InDelta(t, want, float64(whole[2*i+1]), 1e-6)
		}
	}
}

// Switching while a low tone sounds: no step greater than the tone's own, by
// more than what a fade of 20 ms between two shifted copies can add.
// Set apart, each channel is limited as if it were alone; the other's peaks do
// not touch it. Switched, the gains glide: no step beyond the signal's own.
func TestChannelsApart(t *testing.T) {
	loud, soft := scale(sine(48000, 997, 1, 48000), 6), sine(48000, 440, 0.3, 48000)
	both := make([]float32, 2*len(loud))
	for i := range loud {
		both[2*i], both[2*i+1] = loud[i], soft[i]
	}
	l := on(48000, 2, -1)
	l.SetApart(true)
	got := run(l, both)
	for c, alone := range [][]float32{loud, soft} {
		want := run(on(48000, 1, -1), alone)
		for i := range want {
			require.Equal(t, want[i], got[2*i+c])
		}
	}
	l = on(48000, 2, -1)
	last, step := float32(0), 0.0
	for at := 0; at < len(both); at += 960 {
		l.SetApart(at/9600%2 == 1)
		block := append([]float32(nil), both[at:at+960]...)
		l.Process(block)
		for i := 1; i < len(block); i += 2 {
			if at > 0 { // the signal begins within a wave
				step = max(step, math.Abs(float64(block[i]-last)))
			}
			last = block[i]
		}
	}
	require.Less(t, step, 0.3*(2*math.Pi*440/48000+1.0/36), "a gain moves over 36 frames at least")
}

func TestSwitchingDoesNotClick(t *testing.T) {
	const rateHz, hz = 48000, 100.0
	x := sine(rateHz, hz, 0.5, 2*rateHz)
	l := New(rateHz, 1)
	out := append([]float32(nil), x...)
	for at := 0; at < len(out); at += 480 {
		switch at {
		case 9600, 48000, 48480: // the last one while the fade is on its way
			l.SetCeiling(-1, true)
		case 28800, 67200, 48000 - 480:
			l.SetCeiling(-1, false)
		}
		l.Process(out[at : at+480])
	}
	own := 2 * math.Pi * hz / rateHz * 0.5
	fade := math.Pi / 2 / (fadeSeconds * rateHz) * 0.5 * 2 * math.Pi * hz * lookAheadSeconds
	for i := 1; i < len(out); i++ {
		require.LessOrEqual(t, math.Abs(float64(out[i]-out[i-1])), own+fade, "frame %d", i)
	}
	require.Equal(t, x[9600-480:9600], out[9600-480:9600])
	require.Equal(t, x[20000-l.delay:28000-l.delay], out[20000:28000], "on: delayed, else unchanged")
	require.Equal(t, x[40000:47000], out[40000:47000], "off again: not delayed")
}

// What goes beside is never limited, and as late as the block at every frame,
// on, off and in between.
func TestWhatGoesBesideStaysInStep(t *testing.T) {
	const rateHz, channels = 48000, 2
	r := rand.New(rand.NewPCG(7, 7))
	below := scale(noise(4*rateHz, (*rand.Rand).NormFloat64), -40)
	l, loud := New(rateHz, channels), New(rateHz, channels)
	for at, isOn := 0, true; at < len(below); {
		end := min(len(below), at+channels*(1+r.IntN(3000)))
		if r.IntN(4) == 0 {
			isOn = !isOn
		}
		l.SetCeiling(-1, isOn)
		loud.SetCeiling(-60, isOn)
		block, beside := slices.Clone(below[at:end]), slices.Clone(below[at:end])
		l.ProcessBeside(block, beside)
		require.Equal(t, block, beside, "sample %d", at)
		loud.ProcessBeside(slices.Clone(below[at:end]), block[:copy(block, below[at:end])])
		require.Equal(t, beside, block, "sample %d, beside a block that is limited", at)
		at = end
	}
}

func TestAChangedCeilingHoldsAfterTheLookAhead(t *testing.T) {
	l := on(48000, 1, -1)
	x := sine(48000, 1000, 1, 48000)
	l.Process(x[:24000])
	require.InDelta(t, 1+marginDB, l.ReductionDB(), 0.03)
	l.SetCeiling(-10, true)
	l.Process(x[24000:])
	require.LessOrEqual(t, annexTwo(t).peakDB(x[24000+l.LatencyFrames():]), -10+toleranceDB)
}

func TestWhatIsNotFiniteBecomesSilence(t *testing.T) {
	inf := float32(math.Inf(1))
	x := []float32{float32(math.NaN()), inf, -inf, math.MaxFloat32, 0.25}
	x = append(x, make([]float32, 500)...)
	for _, v := range run(on(48000, 1, -1), x) {
		require.False(t, v-v != 0)
		require.LessOrEqual(t, math.Abs(float64(v)), 1.0)
	}
}

func TestProcessDoesNotAllocate(t *testing.T) {
	l := on(48000, 2, -20)
	x := noise(960, (*rand.Rand).NormFloat64)
	block := make([]float32, len(x))
	require.Zero(t, testing.AllocsPerRun(200, func() {
		copy(block, x)
		l.SetCeiling(-20, true)
		l.ProcessBeside(block, x)
	}))
}

func BenchmarkProcess(b *testing.B) {
	for _, c := range []struct {
		name   string
		levels float64
	}{{"far below", -40}, {"near", -3}, {"limiting", 10}} {
		b.Run(c.name, func(b *testing.B) {
			l := on(48000, 2, -1)
			x := scale(sine(48000, 500, 1, 960), c.levels)
			block := make([]float32, len(x))
			b.ReportAllocs()
			for b.Loop() {
				copy(block, x)
				l.Process(block)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/960, "ns/sample")
		})
	}
}
