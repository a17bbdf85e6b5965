package lineup_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/lineup"
)

// drawn is a camera and what must be found out about it.
type drawn struct {
	simulated
	kind   string
	clip   float64 // output level; +Inf: none
	wiring lineup.Wiring
}

// draw makes camera number i. Every fourth has an automatic level, every
// eighth a limiter.
func draw(i int) drawn {
	rng := rand.New(rand.NewPCG(20240611, uint64(i)))
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	d := drawn{kind: "plain"}
	d.seed = uint64(i)
	d.rateHz = []int{44100, 48000, 48000, 96000}[rng.IntN(4)]
	if i%3 > 0 && d.rateHz == 96000 {
		d.rateHz = 48000
	}
	d.ppm = between(-500, 500)
	d.gainDB = between(-30, 35)
	d.inverted = rng.IntN(3) == 0
	d.noiseDBFS = between(-95, min(-45, d.gainDB-20-15))
	d.bits16 = rng.IntN(2) == 0
	if rng.IntN(2) == 0 {
		d.lowCut = filter.Cut{Hz: between(20, 120), Slope: 12}
	}
	if rng.IntN(3) == 0 {
		d.bandLimit = filter.Cut{Hz: between(13000, 17000), Slope: 24}
	}
	if rng.IntN(4) == 0 {
		d.hum = db.ToAmplitude(between(-90, -65))
	}
	level := between(-12, 0)
	d.curve = []func(float64) func(float64) float64{hardAt, softAt, lopsidedAt}[rng.IntN(3)](level)
	d.wire(rng.IntN(6))
	switch {
	case i%4 == 1:
		d.automatic(rng)
	case i%8 == 2:
		d.limiter(rng)
	}
	for d.clip = trueClip(d.curve, d.gainDB); d.clip < -45; d.clip = trueClip(d.curve, d.gainDB) {
		d.gainDB -= 5
	}
	return d
}

func (d *drawn) wire(choice int) {
	d.channels = 2
	switch choice {
	case 0, 1:
		d.mix, d.wiring = [2][2]float64{{1, 0}, {0, 1}}, lineup.Straight
	case 2:
		d.mix, d.wiring = [2][2]float64{{0, 1}, {1, 0}}, lineup.Swapped
	case 3:
		d.mix, d.wiring = [2][2]float64{{1, 0}, {0, 0}}, lineup.LeftOnly
	case 4:
		d.mix, d.wiring = [2][2]float64{{0.5, 0.5}, {0.5, 0.5}}, lineup.Summed
	case 5:
		d.channels, d.mix, d.wiring = 1, [2][2]float64{{0.5, 0.5}, {}}, lineup.Summed
	}
}

// automatic draws an automatic level that has something to do: the burst
// exceeds its target by 3 dB or more.
func (d *drawn) automatic(rng *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	d.kind = "automatic"
	d.gainDB = between(-10, 20)
	d.noiseDBFS = between(-90, -65)
	d.curve = hardAt(0)
	d.levelling = levelling{on: true,
		targetDBFS: between(-24, min(-11, d.gainDB-4)),
		maxDB:      between(0, 20), minDB: -40,
		attack: math.Pow(10, between(-3, 0)), release: math.Pow(10, between(-1, 1)),
		gateDBFS: []float64{math.Inf(-1), -50}[rng.IntN(2)]}
}

// limiter draws one that acts only near the top.
func (d *drawn) limiter(rng *rand.Rand) {
	between := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
	d.kind = "limiter"
	d.gainDB = between(-2, 15)
	d.curve = hardAt(0)
	d.levelling = levelling{on: true, targetDBFS: between(-7, -4), minDB: -40,
		attack: math.Pow(10, between(-4, -2.3)), release: math.Pow(10, between(-1.7, -0.4)), gateDBFS: math.Inf(-1)}
}

func (d drawn) String() string {
	return fmt.Sprintf("%s %d Hz %+.0f ppm gain %.1f noise %.0f clip %.1f %s lowcut %v band %v level %+v",
		d.kind, d.rateHz, d.ppm, d.gainDB, d.noiseDBFS, d.clip, d.wiring, d.lowCut, d.bandLimit, d.levelling)
}

func TestRandomCameras(t *testing.T) { randomCameras(t, 4) }

// randomCameras lines up so many cameras drawn from the seed.
func randomCameras(t *testing.T, count int) {
	before, after := speech(4, -14, 1), speech(3, -10, 2)
	for i := range count {
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			d := draw(i)
			from := len(before) * (i % 5) / 5
			left, right := sequenceWith(before[from:], after[:len(after)*(i%4)/4])
			res, err := analyse(d.record(left, right), d.rateHz, d.channels)
			require.NoError(t, err, d)
			d.check(t, res)
		})
	}
}

func (d drawn) check(t *testing.T, res lineup.Result) {
	t.Helper()
	require.Equal(t, d.kind == "automatic", res.AutomaticLevel.On, "automatic level: %v %+v", d, res)
	require.InDelta(t, d.ppm, res.ClockPPM, 3, d)
	if d.kind == "automatic" {
		return
	}
	require.InDelta(t, d.gainDB, float64(res.OffsetDB), 0.2, "offset: %v", d)
	polarity := lineup.Normal
	if d.inverted {
		polarity = lineup.Inverted
	}
	require.Equal(t, polarity, res.Polarity, d)
	require.Equal(t, d.wiring, res.Wiring, d)
	d.checkClip(t, res)
}

func (d drawn) checkClip(t *testing.T, res lineup.Result) {
	t.Helper()
	if d.kind == "limiter" {
		require.True(t, res.Limiter.On, "limiter: %v %+v", d, res)
		return
	}
	require.False(t, res.Limiter.On, "limiter: %v %+v", d, res)
	switch {
	case d.clip > -0.5:
		require.False(t, res.ClipDBFS.Known(), "clip: %v %+v", d, res)
	case res.ClipDBFS.Known() || d.clip < -1.5:
		require.InDelta(t, d.clip, float64(res.ClipDBFS), 0.5, "clip: %v %+v", d, res.Clip)
	}
}
