package howl

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/speech"
	"rollready/dsp/resample"
)

const rateHz = 48000

// listen gives the time of the alarm in seconds, or −1.
func listen(g *Guard, x []float32) (float64, Alarm) {
	for at := 0; at < len(x); at += 480 * g.channels {
		if a, ok := g.Process(x[at:min(len(x), at+480*g.channels)]); ok {
			return float64(a.Frame) / g.rateHz, a
		}
	}
	return -1, Alarm{}
}

func seconds(s float64, f func(at float64, r *rand.Rand) float64) []float32 {
	r := rand.New(rand.NewPCG(7, 7))
	x := make([]float32, int(s*rateHz))
	for i := range x {
		x[i] = float32(f(float64(i)/rateHz, r))
	}
	return x
}

func sin(hz, at float64) float64 { return math.Sin(2 * math.Pi * hz * at) }

// room is a loudspeaker near a microphone: what is put out comes back after a
// delay, through a narrow-ish resonance, with more gain than 1 at its top.
func room(hz, loopDB, delaySeconds, s float64, ambient func(i int, r *rand.Rand) float64) []float32 {
	r := rand.New(rand.NewPCG(9, 9))
	x := make([]float32, int(s*rateHz))
	delay := int(math.Round(math.Round(hz*delaySeconds) / hz * rateHz)) // in phase at hz
	// resonance of quality 25, as rooms have many: two-pole band-pass, unity at hz
	w := 2 * math.Pi * hz / rateHz
	alpha := math.Sin(w) / 50
	b, a1, a2 := alpha/(1+alpha), -2*math.Cos(w)/(1+alpha), (1-alpha)/(1+alpha)
	gain := math.Pow(10, loopDB/20)
	var x1, x2, y1, y2 float64
	for i := range x {
		fed := 0.0
		if i >= delay {
			fed = float64(x[i-delay])
		}
		y := b*(fed-x2) - a1*y1 - a2*y2
		x1, x2, y1, y2 = fed, x1, y, y1
		x[i] = float32(max(-1, min(1, ambient(i, r)+gain*y)))
	}
	return x
}

// takesOver is since when, up to the alarm, the tone at hz has stood 10 dB
// above all else, in seconds: from there on a person hears a howl.
func takesOver(x []float32, hz, alarm float64) float64 {
	const n = 2400
	at := int(alarm*rateHz) - n
	for ; at > 0; at -= 240 {
		var s, c, all float64
		for i, v := range x[at : at+n] {
			sn, cs := math.Sincos(2 * math.Pi * hz * float64(i) / rateHz)
			s, c, all = s+float64(v)*sn, c+float64(v)*cs, all+float64(v)*float64(v)
		}
		if 2*(s*s+c*c)/n < 0.9*all {
			break
		}
	}
	return float64(at) / rateHz
}

func TestRunawayFeedbackFiresWithinHalfASecond(t *testing.T) {
	hiss := func(_ int, r *rand.Rand) float64 { return 0.001 * r.NormFloat64() }
	for _, c := range []struct{ hz, loopDB, delay float64 }{
		{315, 2, 0.030}, {800, 1, 0.020}, {1250, 3, 0.030}, {2500, 2, 0.015}, {2500, 6, 0.040}, {6300, 1.5, 0.040},
	} {
		x := room(c.hz, c.loopDB, c.delay, 4, hiss)
		at, alarm := listen(New(rateHz, 1), x)
		require.Positive(t, at, "%+v", c)
		heard := takesOver(x, alarm.Hz, at)
		t.Logf("%g Hz, %g dB round %g s: heard at %.2f s, alarm at %.2f s, %v", c.hz, c.loopDB, c.delay, heard, at, alarm)
		require.LessOrEqual(t, at-heard, 0.5, "%+v", c)
	}
}

// The same while someone talks: the loop feeds on the voice.
func TestFeedbackUnderAVoiceFires(t *testing.T) {
	voice := voiceAt48k(t)
	for _, loopDB := range []float64{1.5, 3} {
		x := room(1800, loopDB, 0.030, 6, func(i int, _ *rand.Rand) float64 { return 0.05 * float64(voice[i]) })
		at, alarm := listen(New(rateHz, 1), x)
		require.Positive(t, at)
		heard := takesOver(x, alarm.Hz, at)
		t.Logf("%g dB: heard at %.2f s, alarm at %.2f s, %v", loopDB, heard, at, alarm)
		require.LessOrEqual(t, at-heard, 0.5)
	}
}

func TestOneChannelIsEnough(t *testing.T) {
	x := room(1250, 3, 0.030, 3, func(_ int, r *rand.Rand) float64 { return 0.001 * r.NormFloat64() })
	both := make([]float32, 2*len(x))
	for i, v := range x {
		both[2*i+1] = v
	}
	at, _ := listen(New(rateHz, 2), both)
	require.Positive(t, at)
}

func voiceAt48k(t *testing.T) []float32 {
	voice, hz := speech.Load(t)
	r := resample.New(hz, rateHz, 1)
	out := make([]float32, len(voice)*rateHz/hz)
	made, _ := r.Process(out, voice)
	return out[:made]
}

// note is a tone with overtones, an attack and a slow decay.
func note(hz, at, length float64) float64 {
	if at < 0 || at > length {
		return 0
	}
	envelope := min(1, at/0.03) * math.Exp(-at/length)
	sum := 0.0
	for h := 1.0; h <= 8; h++ {
		sum += sin(hz*h, at) / (h * h)
	}
	return 0.3 * envelope * sum
}

func TestNoFalseAlarm(t *testing.T) {
	voice := voiceAt48k(t)
	melody := []float64{220, 247, 262, 294, 330, 349, 392, 440, 494, 523, 587, 659}
	for name, x := range map[string][]float32{
		"speech":       voice,
		"speech, loud": times(voice, 4),
		"speech, soft": times(voice, 0.05),
		"speech in a room with a loop 2 dB short of howling": room(1800, -2, 0.030, 8,
			func(i int, _ *rand.Rand) float64 { return 0.2 * float64(voice[i]) }),
		"notes": seconds(8, func(at float64, _ *rand.Rand) float64 {
			k := int(at / 0.5)
			return note(melody[k%len(melody)], at-0.5*float64(k), 0.5)
		}),
		"a string swelling over a second": seconds(3, func(at float64, _ *rand.Rand) float64 {
			vibrato := 0.15 * sin(5.5, at)
			sum := 0.0
			for h := 1.0; h <= 10; h++ {
				sum += math.Sin(h*(2*math.Pi*440*at+vibrato*440/100)) / h
			}
			return 0.2 * math.Pow(10, -min(20, 20*max(0, 1.5-at))/20) * sum
		}),
		"a whistle gliding up and getting louder": seconds(3, func(at float64, r *rand.Rand) float64 {
			return 0.02*min(1, at/0.05)*math.Pow(10, 0.6*min(2, at))*math.Sin(2*math.Pi*(900*at+150*at*at)) + 0.002*r.NormFloat64()
		}),
		"a tone that stands":     seconds(5, func(at float64, _ *rand.Rand) float64 { return 0.1 * sin(1000, at) }),
		"a full-scale tone":      seconds(5, func(at float64, _ *rand.Rand) float64 { return sin(997, at) }),
		"a tone switched on":     seconds(3, func(at float64, _ *rand.Rand) float64 { return 0.5 * sin(1000, at) * step(at-1) }),
		"a tone faded in, 20 ms": seconds(3, func(at float64, _ *rand.Rand) float64 { return 0.5 * sin(1000, at) * min(1, at/0.02) }),
		"a tone stepped by 6 dB": seconds(3, func(at float64, _ *rand.Rand) float64 { return 0.1 * sin(1000, at) * (1 + step(at-1) + 2*step(at-2)) }),
		"a tone that fades out":  seconds(3, func(at float64, _ *rand.Rand) float64 { return math.Exp(-3*at) * sin(1000, at) }),
		"a sweep":                seconds(5, func(at float64, _ *rand.Rand) float64 { return 0.3 * math.Sin(2*math.Pi*50*math.Exp(at)) }),
		"hum":                    seconds(5, func(at float64, _ *rand.Rand) float64 { return 0.1*sin(50, at) + 0.05*sin(100, at) + 0.02*sin(150, at) }),
		"noise that grows":       seconds(3, func(at float64, r *rand.Rand) float64 { return 0.001 * math.Exp(2*at) * r.NormFloat64() }),
		"silence":                make([]float32, rateHz),
		"what is not a number":   {float32(math.NaN()), float32(math.Inf(1)), 0, 0},
		"a tone beating slowly":  seconds(6, func(at float64, _ *rand.Rand) float64 { return 0.1 * (sin(1000, at) + 0.9*sin(1000.7, at)) }),
	} {
		at, alarm := listen(New(rateHz, 1), x)
		require.Negative(t, at, "%s: %v", name, alarm)
	}
}

func step(at float64) float64 {
	if at < 0 {
		return 0
	}
	return 1
}

func times(x []float32, gain float32) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = max(-1, min(1, v*gain))
	}
	return out
}

// A howl through a room that answers all frequencies alike, broken off again
// and again, is noise past full scale: no tone grows.
func TestPastFullScaleWithoutAPauseFires(t *testing.T) {
	x := seconds(3, func(at float64, r *rand.Rand) float64 { return 4 * r.NormFloat64() * step(at-1) })
	at, alarm := listen(New(rateHz, 1), x)
	require.InDelta(t, 2.0, at, 0.05, "a second after it began")
	require.Zero(t, alarm.Hz)
	require.Contains(t, alarm.String(), "past full scale")
	paused := seconds(5, func(at float64, r *rand.Rand) float64 { return 4 * r.NormFloat64() * step(math.Mod(at, 0.8)-0.1) })
	at, _ = listen(New(rateHz, 1), paused)
	require.Negative(t, at, "with pauses it is loud, but no howl")
}

func TestProcessDoesNotAllocate(t *testing.T) {
	g := New(rateHz, 2)
	block := make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(100, func() { g.Process(block) }))
}

func BenchmarkProcess(b *testing.B) {
	g := New(rateHz, 2)
	block := make([]float32, 960)
	for i := range block {
		block[i] = float32(math.Sin(float64(i)))
	}
	b.ReportAllocs()
	for b.Loop() {
		g.Process(block)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/960, "ns/sample")
}
