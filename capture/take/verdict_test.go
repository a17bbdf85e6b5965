package take

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/survey"
	"rollready/capture/wavfile"
	"rollready/dsp/camera"
	"rollready/dsp/verdict"
)

// sound gives the samples of both channels at a time, before and behind the
// chain.
type sound func(seconds, noise float64) (in, out [2]float64)

// hear lets the recorder hear so many seconds of a sound.
func (g *rig) hear(seconds float64, s sound) {
	for at := 0; at < int(seconds*rate); at += 4 * blockFrames {
		in, out := make([]float32, 8*blockFrames), make([]float32, 8*blockFrames)
		for i := range 4 * blockFrames {
			a, b := s(float64(at+i)/rate, g.random.Float64()-0.5)
			in[2*i], in[2*i+1] = float32(a[0]), float32(a[1])
			out[2*i], out[2*i+1] = float32(b[0]), float32(b[1])
		}
		g.r.Feed(in, out)
		g.now = g.now.Add(40 * 1e6)
		g.r.step(g.now)
	}
}

// through is a sound that goes through a chain of so many dB.
func through(gainDB float64, in func(seconds, noise float64) [2]float64) sound {
	gain := math.Pow(10, gainDB/20)
	return func(t, n float64) (a, b [2]float64) {
		a = in(t, n)
		return a, [2]float64{gain * a[0], gain * a[1]}
	}
}

// What is wrong with a take is what a report of its file finds, in the same
// words, known when it ends.
func TestATakeKnowsWhatAReportFinds(t *testing.T) {
	swell := func(t float64) float64 { return 0.6 + 0.4*math.Sin(2*math.Pi*3*t) }
	both := func(x float64) [2]float64 { return [2]float64{x, 0.9 * x} }
	noisy := func(level float64) func(t, n float64) [2]float64 {
		return func(t, n float64) [2]float64 { return both(level * swell(t) * 2 * n) }
	}
	limited := func(at float64) func(t, n float64) [2]float64 {
		return func(t, n float64) [2]float64 {
			x := max(-at, min(at, 3*math.Sin(2*math.Pi*150*t)*swell(t)))
			return [2]float64{x + n/1000, x}
		}
	}
	for name, c := range map[string]struct {
		config Config
		sound  sound
		code   verdict.Code // "": none but that nobody speaks
		track  verdict.Role
		says   string
	}{
		"clean":              {Config{}, through(0, noisy(0.1)), "", "", "No voice"},
		"our gain":           {Config{}, through(24, noisy(0.1)), verdict.OutputClipped, verdict.Processed, "(the raw track is clean: take that)"},
		"our gain, 16 bits":  {Config{Encoding: wavfile.PCM16}, through(24, noisy(0.1)), verdict.OutputClipped, verdict.Processed, "full scale was hit"},
		"our gain, safety":   {Config{Safety: true, NoInput: true}, through(24, noisy(0.1)), verdict.OutputClipped, verdict.Processed, "full scale was hit"},
		"the input":          {Config{}, through(-10, limited(1)), verdict.InputClipped, verdict.Raw, "overload"},
		"the input, no file": {Config{NoInput: true}, through(-10, limited(1)), verdict.InputClipped, verdict.Raw, "overload"},
		"before the input":   {Config{}, through(-3, limited(0.6)), verdict.FlatTopped, verdict.Raw, "cut flat"},
		"a dead channel":     {Config{}, through(0, func(t, n float64) [2]float64 { return [2]float64{0.2 * n * swell(t), 0} }), verdict.DeadChannel, verdict.Raw, "no voice"},
		"inverted":           {Config{}, through(0, func(t, n float64) [2]float64 { return [2]float64{0.2 * n * swell(t), -0.2 * n * swell(t)} }), verdict.PolarityInverted, verdict.Raw, "cancel"},
		"a zero line off":    {Config{}, through(0, func(t, n float64) [2]float64 { return both(0.1*n*swell(t) + 0.08) }), verdict.DCOffset, verdict.Processed, "zero line"},
		"a float file":       {Config{Encoding: wavfile.Float32}, through(24, noisy(0.1)), verdict.OutputClipped, verdict.Processed, "full scale was hit"},
	} {
		t.Run(name, func(t *testing.T) {
			c.config.PreRoll, c.config.Camera = -1, camera.Scale{OffsetDB: -30}
			g := newRig(t, c.config)
			g.roll(What{Scene: "1"})
			g.hear(4, c.sound)
			got := g.stop()
			word, why := got.Verdict()
			require.Equal(t, Listen, word)
			require.Contains(t, strings.Join(why, "; "), c.says)
			if c.code != "" {
				i := slices.IndexFunc(got.Findings, func(f verdict.Finding) bool { return f.Code == c.code })
				require.GreaterOrEqual(t, i, 0, got.Findings)
				require.Equal(t, c.track, got.Findings[i].Track)
			}
			kept, err := Load(got.Path)
			require.NoError(t, err)
			_, keptWhy := kept.Verdict()
			require.Equal(t, why, keptWhy)
			report, err := survey.File(context.Background(), got.Path, nil)
			require.NoError(t, err)
			require.InDelta(t, float64(report.IntegratedLUFS), float64(got.Levels.IntegratedLUFS), 0.01)
			if !c.config.NoInput { // the file itself can't tell then
				require.Equal(t, report.Findings, got.Findings)
			}
		})
	}
}

// A camera that was lined up clips where its line-up says (offset and clip
// point on the camera's scale: see dsp/camera).
func TestATakeKnowsThatTheCameraWasOverloaded(t *testing.T) {
	for offset, want := range map[float64]string{0: "", 16: "", 18: "Loud moments reached the camera's clip point", 26: "Loud moments overloaded the camera by 8 dB"} {
		g := newRig(t, Config{PreRoll: -1, Camera: camera.Scale{OffsetDB: offset, ClipDBFS: -2, TargetLowDBFS: -12, TargetHighDBFS: -6}})
		g.roll(What{Scene: "1"})
		g.hear(2, func(t, n float64) (in, out [2]float64) {
			x := 0.1 * math.Sin(2*math.Pi*440*t) // −20 dBFS
			return [2]float64{x, x}, [2]float64{x, x}
		})
		got := g.stop()
		require.InDelta(t, -20+offset, float64(got.Levels.CameraPeakDBTP), 0.05)
		_, why := got.Verdict()
		if want == "" {
			require.NotContains(t, strings.Join(why, "; "), "camera")
		} else {
			require.Contains(t, strings.Join(why, "; "), want)
		}
	}
}

// A sheet from before takes were judged says so until somebody judges it.
func TestATakeThatNobodyJudged(t *testing.T) {
	g := newRig(t, Config{PreRoll: -1})
	g.roll(What{Scene: "1"})
	g.hear(3, through(24, func(t, n float64) [2]float64 { return [2]float64{0.2 * n, 0.2 * n} }))
	want := g.stop()
	old := want
	old.Judged, old.Findings = false, nil
	require.NoError(t, Save(old))
	found, err := List(filepath.Dir(want.Path))
	require.NoError(t, err)
	word, why := found[0].Take.Verdict()
	require.Equal(t, Unjudged, word)
	require.Contains(t, why[0], "not judged yet")
	late, stop := context.WithCancel(context.Background())
	stop()
	JudgeAll(late, found)
	require.False(t, found[0].Take.Judged)
	JudgeAll(context.Background(), found)
	require.Equal(t, want.Findings, found[0].Take.Findings)
	require.InDelta(t, float64(want.Levels.IntegratedLUFS), float64(found[0].Take.Levels.IntegratedLUFS), 1e-5)
	require.Equal(t, want.Levels.CameraPeakDBTP, found[0].Take.Levels.CameraPeakDBTP, "from before it was cut")
	kept, err := Load(want.Path)
	require.NoError(t, err)
	require.True(t, kept.Judged)
	require.NoError(t, os.Remove(sheetPath(want.Path)))
	kept, err = Load(want.Path)
	require.NoError(t, err)
	word, _ = kept.Verdict()
	require.Equal(t, Unknown, word, "without its sheet it is anybody's")
}

// Deleted takes come back by name, whoever deleted them and when.
func TestUndelete(t *testing.T) {
	g := newRig(t, Config{PreRoll: -1})
	dir, play := g.r.config.Dir, func(number int) Take {
		g.roll(What{Scene: "1", Number: number})
		g.play(0.4)
		return g.stop()
	}
	none, err := Bin(dir)
	require.NoError(t, err)
	require.Empty(t, none)
	for range 2 {
		_, err := Delete(play(3).Path)
		require.NoError(t, err)
	}
	found, err := Bin(dir)
	require.NoError(t, err)
	require.Len(t, found, 2)
	require.Equal(t, "1 take 3", found[1].Take.Title())
	wav, err := Undelete(dir, "1_003~1.wav")
	require.NoError(t, err)
	require.Equal(t, filepath.Join(dir, "1_003.wav"), wav)
	wav, err = Undelete(dir, "1_003")
	require.ErrorIs(t, err, os.ErrExist, "the name is taken again")
	require.FileExists(t, filepath.Join(dir, binFolder, "1_003.wav"))
	_ = wav
	_, err = Undelete(dir, "1_009.wav")
	require.ErrorContains(t, err, "take list --deleted")
	back, err := List(dir)
	require.NoError(t, err)
	require.Len(t, back, 1)
	require.Equal(t, 3, back[0].Take.Number)
}
