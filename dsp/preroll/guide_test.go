package preroll

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/scene"
	"rollready/dsp/verdict"
)

// feed gives a guide sound, noise of −65 dBFS under it.
func feed(g *Guide, x []float64, seconds float64) {
	y := make([]float64, scene.Frames(seconds, 48000))
	copy(y, x)
	scene.InBlocks(scene.Interleave(scene.Add(y, scene.Noise(-65, seconds, 48000, 2))), 1, g.Process)
}

func TestGuideLeadsToTheResultOfACheck(t *testing.T) {
	g := NewGuide(48000, 1)
	talk := speech(t, speakers[0], -9, 48000)
	require.Equal(t, Progress{Step: Quiet, Left: 5}, g.Progress())
	_, err := g.Result(standard())
	require.ErrorIs(t, err, ErrShort)
	feed(g, nil, 2.5)
	require.InDelta(t, 0.5, g.Progress().Share, 1e-9)
	require.InDelta(t, 2.5, g.Progress().Left, 1e-9)
	feed(g, nil, 2.5)
	require.Equal(t, Speak, g.Progress().Step)
	feed(g, talk, 10)
	require.Equal(t, Done, g.Progress().Step)
	feed(g, talk, 1)
	r, err := g.Result(standard())
	require.NoError(t, err)
	require.Equal(t, verdict.Ready, r.Verdict, "%+v", r.Findings)
	require.InDelta(t, -9, float64(r.Voice.PeakDBFS), 0.5)
}

func TestGuideNoticesTalkInTheQuiet(t *testing.T) {
	for _, s := range some(t, speakers) {
		g := NewGuide(48000, 1)
		feed(g, nil, 2)
		feed(g, speech(t, s, -15, 48000), 2)
		p := g.Progress()
		require.Equal(t, Quiet, p.Step)
		require.Equal(t, Talking, p.Trouble, s.name)
		require.Less(t, p.Share, 0.5)
		feed(g, nil, 6)
		require.Equal(t, Speak, g.Progress().Step)
		require.Equal(t, NoTrouble, g.Progress().Trouble)
	}
}

// Somebody who talks on and on through the quiet is told that the quiet held a
// voice, and not that none was heard.
func TestTalkThroughTheQuietIsTheReason(t *testing.T) {
	for _, s := range some(t, speakers) {
		talk := speech(t, s, -9, 48000)
		talk = append(talk, append(talk, talk...)...)
		g := NewGuide(48000, 1)
		for g.Progress().Step != Done {
			feed(g, talk[:5*48000], 5)
		}
		r, err := g.Result(standard())
		require.NoError(t, err)
		require.Equal(t, verdict.NotReady, r.Verdict, "%s: %+v", s.name, r.Findings)
		require.Equal(t, verdict.NotQuiet(verdict.Stop).Message, r.Findings[0].Message, "%s: %+v", s.name, r.Findings)
		require.False(t, has(r, verdict.NoiseHigh), s.name)
	}
}

func TestGuideNoticesThatNobodySpeaks(t *testing.T) {
	g := NewGuide(48000, 1)
	feed(g, nil, 5)
	feed(g, nil, 10)
	require.Equal(t, Progress{Step: Speak, Left: 10, Trouble: NobodySpoke}, g.Progress())
	feed(g, speech(t, speakers[3], -15, 48000), 10)
	require.Equal(t, Done, g.Progress().Step)
}

// Someone who never follows still gets an answer.
func TestGuideEndsInTheLongRun(t *testing.T) {
	g := NewGuide(48000, 1)
	for range 30 {
		feed(g, nil, 5)
	}
	r, err := g.Result(standard())
	require.NoError(t, err)
	require.Equal(t, verdict.NoVoice, r.Findings[0].Code)
}

// Steady noise, however loud or low, and a device that begins with zeros are
// no talk.
func TestGuideTakesSteadyNoiseForQuiet(t *testing.T) {
	for _, x := range [][]float64{scene.Noise(-30, 6, 48000, 3), pink(scene.Noise(-50, 6, 48000, 4)), rumble(-25, 6, 48000),
		scene.Sine(50, -30, 0, 6, 48000), append(scene.Silence(1, 48000), scene.Noise(-40, 5, 48000, 5)...), scene.Silence(6, 48000)} {
		g := NewGuide(48000, 1)
		scene.InBlocks(scene.Interleave(x), 1, g.Process)
		require.Equal(t, Speak, g.Progress().Step)
		require.Equal(t, NoTrouble, g.Progress().Trouble)
	}
}

func TestGuideRepeats(t *testing.T) {
	g := NewGuide(48000, 1)
	talk := speech(t, speakers[1], -15, 48000)
	feed(g, nil, 5)
	feed(g, talk, 10)
	g.Repeat(Speak)
	require.Equal(t, Progress{Step: Speak, Left: 10}, g.Progress())
	feed(g, scene.Scale(talk, 6), 10)
	r, err := g.Result(standard())
	require.NoError(t, err)
	require.InDelta(t, -9, float64(r.Voice.PeakDBFS), 0.5)
	g.Repeat(Quiet)
	require.Equal(t, Progress{Step: Quiet, Left: 5}, g.Progress())
}

func TestGuideDoesNotAllocate(t *testing.T) {
	g, x := NewGuide(48000, 2), make([]float32, 960)
	for i := range x {
		x[i] = float32(0.1 * math.Sin(float64(i)))
	}
	require.Zero(t, testing.AllocsPerRun(1000, func() { g.Process(x) }))
}

// What a live check costs in all: 15 s of stereo.
func BenchmarkCheck(b *testing.B) {
	x := scene.Interleave(scene.Noise(-40, 5, 48000, 1), scene.Noise(-40, 5, 48000, 2))
	y := scene.Interleave(scene.Noise(-20, 10, 48000, 3), scene.Noise(-20, 10, 48000, 4))
	for b.Loop() {
		c := New(48000, 2, standard())
		c.RoomTone(x)
		c.Voice(y)
		_, _ = c.Result()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*(len(x)+len(y))), "ns/sample")
}
