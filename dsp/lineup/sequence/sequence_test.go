package sequence_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/lineup/sequence"
)

func play(rateHz, channels int) []float32 {
	p := sequence.NewPlayer(rateHz, channels)
	frames := make([]float32, int(sequence.Seconds()+1)*rateHz*channels)
	return frames[:p.Read(frames)*channels]
}

func TestShorterThanFortySeconds(t *testing.T) {
	require.Less(t, sequence.Seconds(), 40.0)
	at := 0.0
	for _, s := range sequence.Sections() {
		require.InDelta(t, at, s.Start, 1e-9)
		require.InDelta(t, math.Round(1000*s.Seconds), 1000*s.Seconds, 1e-9, "whole milliseconds")
		at = s.End()
	}
}

// A sine's peak in dBFS is its level (AES17): every steady section must peak
// at its own.
func TestLevels(t *testing.T) {
	for _, rate := range []int{48000, 44100, 96000} {
		frames := play(rate, 2)
		for _, s := range sequence.Sections() {
			left, right := peak(frames, rate, s)
			switch s.Kind {
			case sequence.Pause, sequence.Silence:
				require.Zero(t, left+right, s.Kind)
			case sequence.IdentLeft:
				require.Zero(t, right)
				require.InDelta(t, s.LevelDBFS, db.FromAmplitude(left), 0.05)
			case sequence.IdentRight:
				require.Zero(t, left)
				require.InDelta(t, s.LevelDBFS, db.FromAmplitude(right), 0.05)
			case sequence.Pulses: // 13 samples at 44.1 kHz: none falls on the very top
				require.InDelta(t, s.LevelDBFS, db.FromAmplitude(left), 0.1)
			default:
				require.Equal(t, left, right)
				require.InDelta(t, s.LevelDBFS, db.FromAmplitude(left), 0.05, "%s at %d", s.Kind, rate)
			}
		}
	}
}

func peak(frames []float32, rate int, s sequence.Section) (left, right float64) {
	from, to := int((s.Start+0.02)*float64(rate)), int((s.End()-0.005)*float64(rate))
	if s.Kind == sequence.Pulses {
		from = int(s.Start * float64(rate))
	}
	for i := from; i < to; i++ {
		left = max(left, math.Abs(float64(frames[2*i])))
		right = max(right, math.Abs(float64(frames[2*i+1])))
	}
	return left, right
}

func TestLadderRisesByOneDecibel(t *testing.T) {
	ladder := sequence.Of(sequence.Ladder)
	require.Len(t, ladder, 50)
	for i, s := range ladder {
		require.InDelta(t, -50+float64(i), s.LevelDBFS, 1e-9)
	}
}

// Nothing clicks: outside the sweep no step between samples is greater than
// that of a full-scale 1 kHz sine.
func TestJointsDoNotClick(t *testing.T) {
	const rate = 96000
	frames := play(rate, 1)
	sweep := sequence.Find(sequence.Sweep)
	steepest, where := 0.0, 0.0
	for i := 1; i < len(frames); i++ {
		at := float64(i) / rate
		if at > sweep.Start && at < sweep.End() {
			continue
		}
		if step := math.Abs(float64(frames[i] - frames[i-1])); step > steepest {
			steepest, where = step, at
		}
	}
	require.LessOrEqual(t, steepest, 2*math.Pi*sequence.ToneHz/rate, "at %.4f s", where)
}

func TestPulsesArePositive(t *testing.T) {
	s := sequence.Find(sequence.Pulses)
	lowest := 0.0
	for at := 0.0; at < s.Seconds; at += 1e-5 {
		left, _ := s.At(at)
		lowest = min(lowest, left)
	}
	require.Zero(t, lowest)
}

// A logarithmic sweep passes the geometric mean of its ends at half time.
func TestSweepTime(t *testing.T) {
	s := sequence.Find(sequence.Sweep)
	require.InDelta(t, s.Seconds/2, sequence.SweepTime(math.Sqrt(20*20000)), 1e-9)
	const dt = 1e-6
	for _, hz := range []float64{20, 1000, 20000} {
		at := sequence.SweepTime(hz)
		require.InEpsilon(t, hz, (sequence.SweepPhase(at+dt)-sequence.SweepPhase(at-dt))/(4*math.Pi*dt), 1e-4)
	}
}

func TestBlocksDoNotMatter(t *testing.T) {
	want := play(44100, 2)
	rng := rand.New(rand.NewPCG(1, 1))
	p := sequence.NewPlayer(44100, 2)
	var got []float32
	for {
		block := make([]float32, 2*(1+rng.IntN(3000)))
		n := p.Read(block)
		if n == 0 {
			break
		}
		got = append(got, block[:2*n]...)
	}
	require.Equal(t, want, got)
}

func TestChannels(t *testing.T) {
	mono, stereo, four := play(48000, 1), play(48000, 2), play(48000, 4)
	require.Len(t, four, 4*len(mono))
	wrong := 0
	for i, m := range mono {
		mean := (stereo[2*i] + stereo[2*i+1]) / 2
		if max(mean-m, m-mean) > 1e-6 || [4]float32(four[4*i:]) != [4]float32{stereo[2*i], stereo[2*i+1]} {
			wrong++
		}
	}
	require.Zero(t, wrong)
}

func TestReadDoesNotAllocate(t *testing.T) {
	p := sequence.NewPlayer(48000, 2)
	block := make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(1000, func() { p.Read(block) }))
}

func BenchmarkRead(b *testing.B) {
	block := make([]float32, 960)
	p := sequence.NewPlayer(48000, 2)
	b.ReportAllocs()
	for b.Loop() {
		if p.Read(block) == 0 {
			p = sequence.NewPlayer(48000, 2)
		}
	}
}
