package simday

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

// Camera is how a camera hears a world from a moment on.
type Camera struct {
	Card           string // folder of its clips
	RateHz         int
	FromS, Seconds float64
	PPM            float64 // its clock is so much fast
	GainDB         float64
	Auto           bool    // its automatic level is on
	Echo           float64 // share of reflections
	Wind           float64 // amplitude
	Noise          float64 // amplitude
	Dead           bool    // one of two channels
	Kbps           int     // AAC; 0 is PCM
	LostAtS, LostS float64 // its sound loses so much there
	HoleAtS, HoleS float64 // its sound is nothing for so long there
	GustAtS        float64 // a gust too low to be recorded drives its automatic level …
	GustDB         float64 // … down by so much
	Rate           string  // of pictures; "" is sound alone
	Timecode       string
	Seed           uint64
	Endless        bool // its converter has no full scale
}

// Ideal is the camera without its faults.
func (c Camera) Ideal() Camera {
	c.Auto, c.Endless, c.LostS, c.HoleS = false, true, 0, 0
	return c
}

// hann is half a Hann window in thousandths.
var hann = func() (w [1002]float32) {
	for i := range w {
		w[i] = float32(0.5 + 0.5*math.Cos(math.Pi*float64(min(i, 1000))/1000))
	}
	return w
}()

// at reads between samples by a windowed sinc, not by what is tested.
func at(x []float32, place float64) float32 {
	const reach = 16
	whole := int(math.Floor(place))
	part := place - float64(whole)
	if part == 0 {
		part = 1e-9
	}
	sine := float32(math.Sin(math.Pi*part) / math.Pi)
	sum := float32(0)
	for k := max(0, whole-reach+1); k <= min(whole+reach, len(x)-1); k++ {
		d := float32(place - float64(k))
		if k == whole {
			d = float32(part)
		}
		s := sine / d
		if (k-whole)&1 != 0 {
			s = -s
		}
		sum += s * hann[int(max(d, -d)*1000/reach)] * x[k]
	}
	return sum
}

// Frames gives the camera's channel. The sound it lost is missing; its clock
// runs fast by PPM, so it has so many frames more in a second.
func (c Camera) Frames(world []float32) []float32 {
	r := rand.New(rand.NewPCG(c.Seed, 31))
	n := int(c.Seconds * float64(c.RateHz))
	step := RateHz / (float64(c.RateHz) * (1 + c.PPM*1e-6))
	from := int(c.FromS*RateHz) - RateHz/4
	to := min(len(world), int(c.FromS*RateHz+float64(n)*step)+RateHz/2+int(c.LostS*RateHz))
	room := reflections(world[max(0, from):max(0, from, to)], c.Echo, c.Seed)
	x := make([]float32, n)
	lostAt, lost := int(c.LostAtS*float64(c.RateHz)), int(c.LostS*float64(c.RateHz))
	for i := range x {
		k := i
		if lost > 0 && i >= lostAt {
			k += lost
		}
		x[i] = at(room, c.FromS*RateHz-float64(max(0, from))+float64(k)*step)
	}
	c.weather(x, r)
	c.level(x)
	hole := int(c.HoleAtS * float64(c.RateHz))
	clear(x[hole:min(n, hole+int(c.HoleS*float64(c.RateHz)))])
	return x
}

// weather adds wind, low and in gusts, and the hiss of a poor preamplifier.
func (c Camera) weather(x []float32, r *rand.Rand) {
	keep := float32(math.Exp(-2 * math.Pi * 120 / float64(c.RateHz)))
	var a, b float32
	gust, want := 0.0, 0.0
	for i := range x {
		if i%(c.RateHz/3) == 0 {
			want = r.Float64() * r.Float64() * 2
		}
		gust += (want - gust) / float64(c.RateHz) * 4
		a = keep*a + (1-keep)*float32(r.NormFloat64())
		b = keep*b + (1-keep)*a
		x[i] += float32(c.Wind*gust*25)*b + float32(c.Noise*r.NormFloat64())
	}
}

// level is the camera's gain, fixed or automatic, and its converter.
func (c Camera) level(x []float32) {
	gain, level := float32(math.Pow(10, c.GainDB/20)), float32(0.25)
	attack, release := float32(1-math.Exp(-1/(0.005*float64(c.RateHz)))), float32(1-math.Exp(-1/(1.5*float64(c.RateHz))))
	for i := range x {
		x[i] *= gain
		if c.Auto {
			v := max(x[i], -x[i])
			if c.GustDB > 0 && i == int(c.GustAtS*float64(c.RateHz)) {
				level = float32(0.25 * math.Pow(10, c.GustDB/20))
			}
			if v > level {
				level += attack * (v - level)
			} else {
				level += release * (v - level)
			}
			x[i] *= min(0.25/max(level, 1e-4), 12)
		}
		if !c.Endless {
			x[i] = max(-1, min(1, x[i]))
		}
	}
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

// Write records a clip of the world: two channels, PCM or AAC, with pictures
// where a rate is given. The name goes without ending.
func (c Camera) Write(t testing.TB, world []float32, name string) (path string) {
	t.Helper()
	x := c.Frames(world)
	y := make([]float32, 2*len(x))
	r := rand.New(rand.NewPCG(c.Seed, 41))
	for i, v := range x {
		y[2*i], y[2*i+1] = v, v
		if c.Dead {
			y[2*i] = float32(1e-4 * r.NormFloat64())
		}
	}
	sound := name + ".wav"
	if c.Kbps > 0 || c.Rate != "" {
		sound = filepath.Join(t.TempDir(), "sound.wav")
	}
	w, err := wavfile.Create(sound, capture.Format{RateHz: c.RateHz, Channels: 2}, wavfile.PCM16)
	require.NoError(t, err)
	require.NoError(t, w.Write(y))
	require.NoError(t, w.Close())
	if sound == name+".wav" {
		return sound
	}
	return c.encode(t, sound, name)
}

func (c Camera) encode(t testing.TB, sound, name string) string {
	path := name + ".mp4"
	args := []string{"-v", "error", "-nostdin", "-i", sound}
	if c.Rate != "" {
		args = append(args, "-f", "lavfi", "-i", "color=size=16x16:rate="+c.Rate, "-map", "1:v", "-map", "0:a", "-c:v", "mpeg4", "-shortest")
	}
	if c.Timecode != "" {
		args = append(args, "-timecode", c.Timecode)
	}
	if c.Kbps > 0 {
		args = append(args, "-c:a", "aac", "-b:a", fmt.Sprintf("%dk", c.Kbps))
	} else {
		path = name + ".mov"
		args = append(args, "-c:a", "pcm_s16le")
	}
	out, err := exec.CommandContext(context.Background(), "ffmpeg", append(args, path)...).CombinedOutput()
	require.NoError(t, err, string(out))
	return path
}

// Take is how the recorder hears a world: three tracks, as rollready writes
// them.
type Take struct {
	Scene, Number  string
	FromS, Seconds float64
	Started        time.Time
	Seed           uint64
}

// Write records a take.
func (k Take) Write(t testing.TB, world []float32, path string) string {
	t.Helper()
	from := int(k.FromS * RateHz)
	r := rand.New(rand.NewPCG(k.Seed, 51))
	m := bwf.Meta{Scene: k.Scene, Take: k.Number, Started: k.Started, Tracks: []string{"processed 1", "input 1", "safety -10 dB 1"}}
	w, err := bwf.Create(path, capture.Format{RateHz: RateHz, Channels: 3}, wavfile.PCM24, m, nil)
	require.NoError(t, err)
	block := make([]float32, 0, 3*RateHz)
	for i := range int(k.Seconds * RateHz) {
		v := float32(0.00005 * r.NormFloat64())
		if from+i < len(world) {
			v += world[from+i]
		}
		block = append(block, 0.8*v, 0.5*v, 0.16*v)
		if len(block) == cap(block) {
			require.NoError(t, w.Write(block))
			block = block[:0]
		}
	}
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close(m, nil))
	return path
}
