package lineup_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/filter"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/find"
)

// plain is a stereo camera at 48 kHz that only has a little noise.
func plain() simulated {
	return simulated{rateHz: 48000, curve: hardAt(0), noiseDBFS: -90,
		mix: [2][2]float64{{1, 0}, {0, 1}}, channels: 2, seed: 5}
}

func (c simulated) lineUp(t *testing.T) lineup.Result {
	t.Helper()
	left, right := sequenceWith(speech(1, -20, 9), nil)
	res, err := analyse(c.record(left, right), c.rateHz, c.channels)
	require.NoError(t, err)
	return res
}

// analyse finds the sequence in a whole clip and measures it.
func analyse(clip []float32, rateHz, channels int) (lineup.Result, error) {
	f := find.New(rateHz, channels)
	f.Process(clip)
	place, err := f.Find()
	if err != nil {
		return lineup.Result{}, err
	}
	return lineup.Measure(clip, rateHz, channels, place)
}

// White noise of a known rms level; its A-weighted level from the formula of
// IEC 61672-1:2013 Annex E, summed over the band up to half the sample rate.
func TestNoiseFloor(t *testing.T) { noiseFloor(t, 48000) }

func noiseFloor(t *testing.T, rates ...int) {
	for _, rate := range rates {
		c := plain()
		c.rateHz, c.noiseDBFS = rate, -62
		res := c.lineUp(t)
		require.InDelta(t, -62, float64(res.NoiseDBFS), 0.2, rate)
		require.InDelta(t, -62+whiteAWeighted(float64(rate)), float64(res.NoiseDBA), 0.3, rate)
		require.InDelta(t, -float64(res.NoiseDBA), float64(res.UsableDB), 0.1, rate)
	}
}

func whiteAWeighted(rate float64) float64 {
	weight := func(f float64) float64 {
		q := f * f
		return 12194.217 * 12194.217 * q * q / ((q + 20.599*20.599) * (q + 12194.217*12194.217) *
			math.Sqrt((q+107.653*107.653)*(q+737.862*737.862)))
	}
	sum, n := 0.0, 0.0
	for f := 5.0; f < rate/2; f += 10 {
		w := weight(f) / weight(1000)
		sum, n = sum+w*w, n+1
	}
	return db.FromPower(sum / n)
}

func TestDigitalSilenceHasNoNoise(t *testing.T) {
	c := plain()
	c.noiseDBFS, c.bits16 = math.Inf(-1), true
	res := c.lineUp(t)
	require.False(t, res.NoiseDBFS.Known())
	require.False(t, res.UsableDB.Known())
}

// The response of a Butterworth low cut and band limit, as designed.
func TestResponse(t *testing.T) { response(t, 44100) }

func response(t *testing.T, rates ...int) {
	for _, rate := range rates {
		c := plain()
		c.rateHz, c.ppm = rate, 300
		c.lowCut, c.bandLimit = filter.Cut{Hz: 110, Slope: 12}, filter.Cut{Hz: 14000, Slope: 12}
		sections := append(filter.HighPass(c.lowCut, rate), filter.LowPass(c.bandLimit, rate)...)
		reference := filter.ResponseDB(sections, 1000, float64(rate))
		res := c.lineUp(t)
		require.Len(t, res.Response, 31)
		for _, p := range res.Response {
			if p.Hz >= 31.5 && p.Hz <= 16000 {
				require.InDelta(t, filter.ResponseDB(sections, p.Hz, float64(rate))-reference, p.LevelDB, 0.4, "%v at %d", p, rate)
			}
		}
	}
}

// y = x + k·x³ makes a third harmonic of k·A²/4 / (1 + 3·k·A²/4).
func TestDistortionOfACube(t *testing.T) {
	c := plain()
	const k = 2.0
	c.curve = func(x float64) float64 { return x + k*x*x*x }
	amplitude := db.ToAmplitude(-20)
	want := 100 * (k * amplitude * amplitude / 4) / (1 + 3*k*amplitude*amplitude/4)
	require.InDelta(t, want, float64(c.lineUp(t).DistortionPercent), 0.02)
}

func TestTimesOfAutomaticLevel(t *testing.T) { timesOfAutomaticLevel(t, [2]float64{0.1, 2}) }

func timesOfAutomaticLevel(t *testing.T, pairs ...[2]float64) {
	for _, times := range pairs {
		c := plain()
		c.levelling = levelling{on: true, targetDBFS: -18, maxDB: 6, minDB: -40,
			attack: times[0], release: times[1], gateDBFS: math.Inf(-1)}
		res := c.lineUp(t)
		require.True(t, res.AutomaticLevel.On)
		require.InEpsilon(t, 1000*times[0], float64(res.AutomaticLevel.AttackMS), 0.3, times)
		require.InEpsilon(t, 1000*times[1]+100, float64(res.AutomaticLevel.ReleaseMS), 0.3, times)
		require.Contains(t, res.Advice[0], "automatic level is on")
	}
}

func TestLowSampleRate(t *testing.T) { sampleRates(t, 16000) }

func sampleRates(t *testing.T, rates ...int) {
	for _, rate := range rates {
		c := plain()
		c.rateHz, c.gainDB = rate, -6
		res := c.lineUp(t)
		require.InDelta(t, -6, float64(res.OffsetDB), 0.05, rate)
		require.Equal(t, lineup.Straight, res.Wiring)
	}
}

// One channel inverted, as a balanced plug in a stereo socket does.
func TestOppositePolarity(t *testing.T) {
	c := plain()
	c.mix = [2][2]float64{{1, 0}, {0, -1}}
	res := c.lineUp(t)
	require.Equal(t, lineup.Normal, res.Channels[0].Polarity)
	require.Equal(t, lineup.Inverted, res.Channels[1].Polarity)
}

// A steep low cut makes a pulse swing below zero for much longer than it was
// above: that is no inverted polarity.
func TestPolarityThroughASteepLowCut(t *testing.T) { polarityThrough(t, 100) }

func polarityThrough(t *testing.T, cuts ...float64) {
	for _, hz := range cuts {
		c := plain()
		c.lowCut = filter.Cut{Hz: hz, Slope: 24}
		require.Equal(t, lineup.Normal, c.lineUp(t).Polarity, hz)
		c.inverted = true
		require.Equal(t, lineup.Inverted, c.lineUp(t).Polarity, hz)
	}
}

func TestSilentTracksBeyondAPair(t *testing.T) {
	c := plain()
	left, right := sequenceWith(nil, nil)
	pair := c.record(left, right)
	four := make([]float32, 2*len(pair))
	for i := range len(pair) / 2 {
		four[4*i], four[4*i+1] = pair[2*i], pair[2*i+1]
	}
	res, err := analyse(four, c.rateHz, 4)
	require.NoError(t, err)
	require.Equal(t, lineup.Straight, res.Wiring)
	require.Equal(t, lineup.Nothing, res.Channels[3].Carries)
}

// After line-up, with the pad it asks for, the peak predicted for speech is
// the one the camera records.
func TestPredictedPeak(t *testing.T) { predictedPeak(t, 3) }

func predictedPeak(t *testing.T, cameras int) {
	for i := range cameras {
		d := draw(4 * i)
		if d.kind != "plain" || d.noiseDBFS > -55 {
			continue
		}
		t.Run(fmt.Sprint(i), func(t *testing.T) {
			t.Parallel()
			d.predict(t, uint64(i))
		})
	}
}

func (d drawn) predict(t *testing.T, seed uint64) {
	res := d.lineUp(t)
	if res.PadDB > 0 {
		d.gainDB -= res.PadDB
		res = d.lineUp(t)
		require.Zero(t, res.PadDB, "the pad was too small: %v", d)
	}
	scale := res.Scale()
	voice := speech(3, min(-1, scale.Middle()-scale.OffsetDB), seed)
	p := res.NewPredictor(48000, 2)
	p.Process(stereo(voice))
	recorded := 0.0
	for _, x := range d.record(voice, voice) {
		recorded = max(recorded, math.Abs(float64(x)))
	}
	require.InDelta(t, p.PeakDBFS(), db.FromAmplitude(recorded), 0.5, "%v %v %v", d, res.LowCut, res.HighCut)
}
