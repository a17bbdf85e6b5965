package simday

import (
	"bytes"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"os/exec"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/wavfile"
	"rollready/dsp/resample"
)

// RateHz is the rate of worlds.
const RateHz = 48000

var sentences = []string{
	"Right, we are standing by the old mill.", "The wind is up, so listen.", "Could you say that again, please?",
	"Six thin shepherds sang softly.", "My grandfather built this wall by hand.", "We take the ferry at half past nine.",
	"Nobody told me about the bridge.", "Put the kettle on, it will be a long evening.", "There were eleven boats in the harbour then.",
	"I would do it all again tomorrow.", "First you warm the clay between your palms.", "The bees know the weather before we do.",
	"Turn left at the chapel, then follow the stream.", "She kept every letter in a biscuit tin.", "It smells of tar and wet rope in here.",
	"Nothing grows on the north side.", "He never locked the workshop.", "You can hear the trains at night.",
}

var voices = []string{"en-gb", "en-us", "en-gb-scotland", "en-gb-x-rp", "en+f3", "en+m5", "en-us+f4", "en+m2"}

type spoken struct{ text, voice string }

// speaker keeps what was spoken already.
type speaker struct {
	lock sync.Mutex
	said map[spoken][]float32
}

var mouth = speaker{said: map[spoken][]float32{}}

// say gives a sentence at RateHz.
func (s *speaker) say(t testing.TB, what spoken) []float32 {
	t.Helper()
	s.lock.Lock()
	defer s.lock.Unlock()
	if x, ok := s.said[what]; ok {
		return x
	}
	raw, err := exec.Command("espeak-ng", "-v", what.voice, "-s", "158", "--stdout", what.text).Output()
	require.NoError(t, err)
	r, err := wavfile.NewReader(bytes.NewReader(raw), int64(len(raw)))
	require.NoError(t, err)
	x := make([]float32, r.Frames()+200)
	n, _ := r.Read(x[:r.Frames()])
	convert := resample.New(r.Format().RateHz, RateHz, 1)
	out := make([]float32, n*RateHz/r.Format().RateHz)
	made, _ := convert.Process(out, x)
	s.said[what] = out[:made]
	return out[:made]
}

// Need skips a test where the programs are missing that days are made with.
func Need(t testing.TB) {
	t.Helper()
	for _, program := range []string{"espeak-ng", "ffmpeg", "ffprobe"} {
		if _, err := exec.LookPath(program); err != nil {
			require.Empty(t, os.Getenv("CI"), "%s must be installed for this test", program)
			t.Skipf("install %s for this test", program)
		}
	}
}

// Script says how a world sounds.
type Script struct {
	Seconds float64
	Seed    uint64
	Same    bool // three sentences over and over, spoken a little differently
	Quiet   bool // a minute of nothing now and then
	Music   bool // in the background
}

// World makes the sound of a place: what a perfect microphone would hear.
func World(t testing.TB, s Script) []float32 {
	t.Helper()
	r := rand.New(rand.NewPCG(s.Seed, 21))
	x := make([]float32, int(s.Seconds*RateHz))
	voice := voices[r.IntN(len(voices))]
	for at := int(RateHz * r.Float64()); at < len(x); {
		what := spoken{sentences[r.IntN(len(sentences))], voice}
		if s.Same {
			what.text, what.voice = sentences[r.IntN(3)], voices[0]
		}
		y := performed(mouth.say(t, what), r)
		gain := float32(0.5 + 0.5*r.Float64())
		for i := 0; i < len(y) && at+i < len(x); i++ {
			x[at+i] += gain * y[i]
		}
		at += len(y) + int(RateHz*(0.15+1.2*r.Float64()*r.Float64()))
		if s.Quiet && r.IntN(8) == 0 {
			at += RateHz * (20 + r.IntN(60))
		}
	}
	if s.Music {
		music(x, s.Seed)
	}
	for i := range x {
		x[i] += float32(0.0003 * r.NormFloat64()) // the room, the same for all who hear it
	}
	return x
}

// performed gives a sentence as it is spoken once: nobody says the same thing
// twice to the sample, while the synthesiser's hisses are one recording each.
// It is faster or slower as a whole, wanders by a few per cent, each period of the voice is a little
// longer or shorter (jitter of a healthy voice, 0.5 to 1 %, from memory), and
// the mouth scatters the waves differently every few hundredths of a second.
func performed(x []float32, r *rand.Rand) []float32 {
	const knot, wander, jitter = RateHz / 100, 0.03, 0.007
	y := make([]float32, 0, len(x)+len(x)/8)
	place, rate, slow, want, tempo := 1.0, 1.0, 0.0, 0.0, 0.92+0.16*r.Float64()
	for i := 0; place < float64(len(x)-3); i++ {
		if i%(20*knot) == 0 {
			want = wander * (2*r.Float64() - 1)
		}
		if i%knot == 0 {
			slow += (want - slow) / 5
			rate = tempo * (1 + slow + jitter*r.NormFloat64())
		}
		y = append(y, cubic(x, place))
		place += rate
	}
	return scattered(y, r)
}

const (
	scatters = 48 // taps
	scatterN = RateHz / 50
)

// scatter is a sparse filter of random taps within 20 ms.
type scatter struct {
	delay [scatters]int
	gain  [scatters]float32
}

func newScatter(r *rand.Rand) (s scatter) {
	sum := 0.0
	for k := range s.delay {
		s.delay[k] = k*scatterN/scatters + r.IntN(scatterN/scatters)
		g := math.Exp(-2*float64(k)/scatters) * float64(2*r.IntN(2)-1)
		s.gain[k] = float32(g)
		sum += g * g
	}
	for k := range s.gain {
		s.gain[k] /= float32(math.Sqrt(sum))
	}
	return s
}

// add adds what the filter makes of x from a frame on, times a fade.
func (s *scatter) add(y, x []float32, from int, fade []float32) {
	for k, d := range s.delay {
		first, last := max(0, d-from), min(len(fade), len(y)-from, len(x)+d-from)
		if first >= last {
			continue
		}
		in, out, w, g := x[from+first-d:from+last-d], y[from+first:from+last], fade[first:last], s.gain[k]
		for i, v := range in {
			out[i] += g * w[i] * v
		}
	}
}

// fades go down and up with constant power.
var fades = func() (both [2][3 * scatterN]float32) {
	for i := range both[0] {
		sin, cos := math.Sincos(math.Pi / 2 * float64(i) / float64(len(both[0])))
		both[0][i], both[1][i] = float32(cos), float32(sin)
	}
	return both
}()

// scattered goes from one filter to the next all the time.
func scattered(x []float32, r *rand.Rand) []float32 {
	y := make([]float32, len(x)+scatterN)
	a, b := newScatter(r), newScatter(r)
	for from := 0; from < len(y); from += len(fades[0]) {
		a.add(y, x, from, fades[0][:])
		b.add(y, x, from, fades[1][:])
		a, b = b, newScatter(r)
	}
	return y
}

// cubic reads between samples by a Catmull-Rom spline.
func cubic(x []float32, place float64) float32 {
	i := int(place)
	f := float32(place - float64(i))
	a, b, c, d := x[i-1], x[i], x[i+1], x[i+2]
	return b + f/2*(c-a+f*(2*a-5*b+4*c-d+f*(3*(b-c)+d-a)))
}

// music adds notes that are struck about twice a second, 20 dB under the
// voice. As when it is played by hand, no two are the same to the sample.
func music(x []float32, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 22))
	const beat, rings = RateHz / 2, RateHz
	for at := 0; at < len(x); at += beat {
		for range 3 {
			struck := at + int(0.03*RateHz*r.Float64())
			hz := 110 * math.Pow(2, (float64(r.IntN(36))+0.1*r.NormFloat64())/12)
			for overtone := 1; overtone <= 4; overtone++ {
				level := 0.008 * (0.5 + r.Float64()) / float64(overtone)
				wave := cmplx.Rect(level, 2*math.Pi*r.Float64())
				turn := cmplx.Rect(math.Exp(-4*float64(overtone)/RateHz), 2*math.Pi*hz*float64(overtone)/RateHz)
				for i := 0; i < rings && struck+i < len(x); i++ {
					x[struck+i] += float32(imag(wave) * min(1, float64(i)/240))
					wave *= turn
				}
			}
		}
	}
}

// Spoken is for how many seconds somebody speaks in a stretch of a world.
func Spoken(world []float32, fromS, toS float64) (seconds float64) {
	const hop = RateHz / 10
	for at := int(fromS * RateHz); at+hop <= min(len(world), int(toS*RateHz)); at += hop {
		sum := 0.0
		for _, v := range world[at : at+hop] {
			sum += float64(v) * float64(v)
		}
		if sum > 1e-4*hop {
			seconds += 0.1
		}
	}
	return seconds
}
