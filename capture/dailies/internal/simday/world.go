package simday

import (
	"bytes"
	"fmt"
	"math"
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

type spoken struct {
	text, voice  string
	speed, pitch int
}

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
	raw, err := exec.Command("espeak-ng", "-v", what.voice, "-s", fmt.Sprint(what.speed), "-p", fmt.Sprint(what.pitch), "--stdout", what.text).Output()
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
		what := spoken{sentences[r.IntN(len(sentences))], voice, 140 + r.IntN(40), 40 + r.IntN(20)}
		if s.Same {
			what.text, what.voice = sentences[r.IntN(3)], voices[0]
		}
		y := mouth.say(t, what)
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

// music adds chords that change twice a second, 20 dB under the voice.
func music(x []float32, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 22))
	const note = RateHz / 2
	for at := 0; at < len(x); at += note {
		for range 3 {
			hz := 110 * math.Pow(2, float64(r.IntN(36))/12)
			for i := 0; i < note && at+i < len(x); i++ {
				fade := math.Exp(-3 * float64(i) / note)
				x[at+i] += float32(0.012 * fade * math.Sin(2*math.Pi*hz*float64(i)/RateHz))
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
