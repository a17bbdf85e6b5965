package advice_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp"
	"rollready/dsp/advice"
	"rollready/dsp/camera"
	"rollready/dsp/chain"
)

const rate = 48000

// desk is a whole set-up as levels: a preamp, our gain and a camera.
type desk struct {
	preampDBTP float64 // peaks of the voice at the input
	chain      chain.Settings
	scale      camera.Scale
	frames     int64
	clipped    int64
}

// reading of a moment ten times a second.
func (d *desk) reading() dsp.Reading {
	d.frames += rate / 10
	peak := min(d.preampDBTP, 0)
	if d.preampDBTP > 0 {
		d.clipped++
	}
	out := min(peak+d.chain.GainDB, 3)
	return dsp.Reading{Frames: d.frames, RateHz: rate, Channels: 1,
		Input:  [dsp.MaxChannels]dsp.Level{{TruePeakDBTP: peak, RMSDBFS: peak - 12, ClippedRuns: d.clipped}},
		Output: [dsp.MaxChannels]dsp.Level{{TruePeakDBTP: out, RMSDBFS: out - 12}}}
}

// run gives the advice after so many seconds.
func (d *desk) run(a *advice.Adviser, seconds float64) advice.Advice {
	var said advice.Advice
	for range int(10 * seconds) {
		said = a.Advise(d.reading(), d.chain, d.scale)
	}
	return said
}

// obey does what it says.
func (d *desk) obey(a advice.Advice) {
	by := float64(a.ByDB)
	switch a.Code {
	case advice.InputClipped:
		d.preampDBTP -= 6
	case advice.InputHot:
		d.preampDBTP -= by
	case advice.RaisePreamp:
		d.preampDBTP += by
	case advice.VeryLittle:
		d.preampDBTP += 12
	case advice.LowerGain:
		d.chain.GainDB -= by
	case advice.RaiseGain:
		d.chain.GainDB += by
	case advice.CameraInputHigh:
		d.scale.OffsetDB -= by
	case advice.CameraInputLow:
		d.scale.OffsetDB += by
	}
}

func TestEachPlaceHasItsAdvice(t *testing.T) {
	lined := func(offset float64) camera.Scale {
		s := camera.Default
		s.OffsetDB = offset
		return s
	}
	for name, c := range map[string]struct {
		preamp, gain, offset float64
		want                 advice.Code
		severity             advice.Severity
		by                   int
	}{
		"clips at the input":                {2, 0, 0, advice.InputClipped, advice.Stop, 0},
		"input nearly full":                 {-2, -10, 0, advice.InputHot, advice.Caution, 10},
		"our gain overloads the camera":     {-12, 11.5, 0, advice.LowerGain, advice.Stop, 9},
		"our gain is a little high":         {-12, 8, 0, advice.LowerGain, advice.Caution, 5},
		"our output overloads":              {-12, 14, -20, advice.LowerGain, advice.Stop, 8},
		"camera set too high":               {-12, -10, 30, advice.CameraInputHigh, advice.Stop, 17},
		"camera a little high, gain at end": {-12, -20, 28, advice.CameraInputHigh, advice.Caution, 5},
		"preamp low":                        {-35, 0, 0, advice.RaisePreamp, advice.Caution, 23},
		"preamp a little low":               {-18, 0, 0, advice.RaisePreamp, advice.Caution, 6},
		"gain low":                          {-12, -15, 0, advice.RaiseGain, advice.Caution, 18},
		"camera set too low":                {-12, 0, -12, advice.CameraInputLow, advice.Caution, 15},
		"hardly anything":                   {-60, 0, 0, advice.VeryLittle, advice.Info, 0},
		"nothing":                           {-130, 0, 0, advice.Silence, advice.Stop, 0},
		"in the window":                     {-12, 3, 0, advice.SafeToRoll, advice.Good, 0},
		"in the window of a hot camera":     {-14, -8, 13, advice.SafeToRoll, advice.Good, 0},
	} {
		d := desk{preampDBTP: c.preamp, chain: chain.Settings{GainDB: c.gain}, scale: lined(c.offset)}
		got := d.run(advice.New(), 6)
		require.Equal(t, c.want, got.Code, "%s: %s", name, got.Text)
		require.Equal(t, c.severity, got.Severity, name)
		require.InDelta(t, c.by, got.ByDB, 1, name)
	}
}

// Whoever does what it says, again and again, arrives at a level to roll with.
func TestObeyingLeadsToSafeToRoll(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		d := desk{preampDBTP: 6 - 60*r.Float64(), chain: chain.Settings{GainDB: -40 + 60*r.Float64()}, scale: camera.Default}
		d.scale.OffsetDB = -30 + 60*r.Float64()
		start, path := fmt.Sprintf("%+v", d), ""
		a := advice.New()
		said := d.run(a, 12)
		for step := 0; said.Code != advice.SafeToRoll; step++ {
			path += string(said.Code) + fmt.Sprint(" ", said.ByDB, "; ")
			require.Less(t, step, 9, "%s: %s", start, path)
			d.obey(said)
			said = d.run(a, 25) // longer than any memory
		}
	}
}

func TestAdviceAnswersAChangeOfGainAtOnce(t *testing.T) {
	d := desk{preampDBTP: -12, chain: chain.Settings{GainDB: 11.5}, scale: camera.Default}
	a := advice.New()
	said := d.run(a, 6)
	require.Equal(t, advice.LowerGain, said.Code)
	d.obey(said)
	require.Equal(t, advice.SafeToRoll, d.run(a, 1.5).Code)
}

// A control dragged down sends many small cuts; the answer must not wait for
// each of them.
func TestAdviceAnswersADragOfGain(t *testing.T) {
	d := desk{preampDBTP: -12, chain: chain.Settings{GainDB: 23}, scale: camera.Default}
	a := advice.New()
	d.run(a, 6)
	for range 40 {
		d.chain.GainDB--
		d.run(a, 0.1)
	}
	require.Equal(t, advice.RaiseGain, d.run(a, 1.5).Code)
	d.chain.GainDB = 3
	require.Equal(t, advice.SafeToRoll, d.run(a, 5).Code)
}

// Nobody has heard yet what gain set in a pause does to the voice.
func TestAVerdictDoesNotOutliveAChangeInAPause(t *testing.T) {
	d := desk{preampDBTP: -12, chain: chain.Settings{GainDB: 3}, scale: camera.Default}
	a := advice.New()
	require.Equal(t, advice.SafeToRoll, d.run(a, 6).Code)
	d.preampDBTP = -70
	require.Equal(t, advice.SafeToRoll, d.run(a, 20).Code)
	d.chain.GainDB = 20
	require.Equal(t, advice.VeryLittle, d.run(a, 2).Code)
}

func TestOverloadNamesItsChannel(t *testing.T) {
	for clipped, want := range map[[2]int64]int{{1, 0}: 0, {0, 1}: 1, {1, 1}: -1} {
		a := advice.New()
		r := dsp.Reading{Frames: 100, RateHz: rate, Channels: 2}
		a.Advise(r, chain.Settings{}, camera.Default)
		r.Frames += 4800
		r.Input[0].ClippedRuns, r.Input[1].ClippedRuns = clipped[0], clipped[1]
		said := a.Advise(r, chain.Settings{}, camera.Default)
		require.Equal(t, advice.InputClipped, said.Code, "said at once")
		require.Equal(t, want, said.Channel)
	}
}

func TestSentencesFitALine(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	seen := map[advice.Code]bool{}
	for range 500 {
		d := desk{preampDBTP: 6 - 140*r.Float64(), chain: chain.Settings{GainDB: -60 + 100*r.Float64()}, scale: camera.Default}
		d.scale.OffsetDB = -60 + 120*r.Float64()
		said := d.run(advice.New(), 5)
		seen[said.Code] = true
		require.NotEmpty(t, said.Text)
		require.LessOrEqual(t, len(said.Text), 76, said.Text)
	}
	require.GreaterOrEqual(t, len(seen), 9)
}

func TestReadingsStartingAnewAreForgotten(t *testing.T) {
	d := desk{preampDBTP: 2, scale: camera.Default}
	a := advice.New()
	require.Equal(t, advice.InputClipped, d.run(a, 5).Code)
	d.frames, d.clipped, d.preampDBTP = 0, 0, -12
	require.Equal(t, advice.Listening, d.run(a, 1).Code)
}

func TestReadingsThatSayNothing(t *testing.T) {
	a := advice.New()
	require.Equal(t, advice.Listening, a.Advise(dsp.Reading{}, chain.Settings{}, camera.Default).Code)
	r := dsp.Reading{RateHz: rate, Channels: 2, Frames: math.MaxInt64 / 2}
	require.NotEmpty(t, a.Advise(r, chain.Settings{}, camera.Default).Text)
}
