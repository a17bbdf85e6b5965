//go:build unix

package survey

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"rollready/capture/recording"
	"rollready/dsp/figure"

	"github.com/stretchr/testify/require"
)

// reference is the C reference library libebur128 in a program of a few lines.
func reference(t testing.TB) (program string) {
	t.Helper()
	program = filepath.Join(t.TempDir(), "measure")
	out, err := exec.Command("cc", "-O2", "-o", program, "../../testdata/libebur128/measure.c", "-lebur128", "-lm").CombinedOutput()
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "install gcc and the Debian package libebur128-dev: %s", out)
		t.Skipf("install gcc and the Debian package libebur128-dev for this test: %s", out)
	}
	return program
}

// run has the reference measure a 16-bit file of so many samples.
func run(t testing.TB, program, path string, rateHz, channels, frames int) (lufs, dBTP float64, spent time.Duration) {
	t.Helper()
	info, err := os.Stat(path)
	require.NoError(t, err)
	before := info.Size() - int64(2*channels*frames)
	cmd := exec.Command(program, strconv.Itoa(rateHz), strconv.Itoa(channels), strconv.FormatInt(before, 10), path)
	out, err := cmd.Output()
	require.NoError(t, err)
	_, err = fmt.Sscan(string(out), &lufs, &dBTP)
	require.NoError(t, err)
	return lufs, dBTP, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

// libebur128 1.2.6, see testdata/libebur128.
func TestLoudnessAndTruePeakEqualTheReferenceLibrary(t *testing.T) { equalTheLibrary(t, 5, 48000) }

// equalTheLibrary compares so many seconds at each rate.
func equalTheLibrary(t *testing.T, seconds float64, rates ...int) {
	program := reference(t)
	for _, rateHz := range rates {
		speech := talk(t, rateHz, seconds)
		hiss := make([]float32, len(speech))
		dull := make([]float32, len(speech))
		for i, v := range deep(-18, 2000, len(dull), 4) {
			dull[i] = float32(v)
		}
		for name, c := range map[string]struct {
			noiseDBFS float64
			channels  [][]float32
			within    float64 // dB of true peak
		}{
			"speech, mono":   {-70, [][]float32{speech}, 0.05},
			"speech, stereo": {-60, [][]float32{speech, speech}, 0.05},
			"speech, noisy":  {-30, [][]float32{speech, hiss}, 0.05},
			"noise":          {-60, [][]float32{dull, dull}, 0.05},
			// Up to half the rate the library's filter and the printed one of
			// BS.1770 Annex 2 differ; both are allowed.
			"white noise": {-20, [][]float32{hiss, hiss}, 0.15},
		} {
			path := write16(t, rateHz, c.noiseDBFS, c.channels...)
			lufs, dBTP, _ := run(t, program, path, rateHz, len(c.channels), len(speech))
			r, err := File(context.Background(), path, nil)
			require.NoError(t, err)
			require.InDelta(t, lufs, float64(r.IntegratedLUFS), 0.05, "%s at %d Hz", name, rateHz)
			if rateHz > 80000 {
				c.within = max(c.within, 0.15) // the printed filter only has its inner phases there
			}
			require.InDelta(t, dBTP, float64(figure.Highest(r.TruePeakDBTP)), c.within, "%s at %d Hz", name, rateHz)
		}
	}
}

// The processed pair of a take is as loud as libebur128 1.2.6 says that pair
// is alone (testdata/libebur128).
func TestAProcessedPairEqualsTheReferenceLibrary(t *testing.T) {
	program, speech := reference(t), talk(t, rate, 6)
	pair := write16(t, rate, -60, speech, speech)
	lufs, dBTP, _ := run(t, program, pair, rate, 2, len(speech))
	r, err := recording.Open(context.Background(), pair)
	require.NoError(t, err)
	defer r.Close()
	block, tracks := make([]float32, 2*len(speech)), make([][]float64, 4)
	_, err = r.Read(block)
	require.NoError(t, err)
	for i, x := range block {
		tracks[i%2] = append(tracks[i%2], float64(x))
		tracks[2+i%2] = append(tracks[2+i%2], float64(x)/2)
	}
	take := measured(t, saveTake(t, fourTracks, tracks...))
	require.InDelta(t, lufs, float64(take.IntegratedLUFS), 0.05)
	require.InDelta(t, dBTP, float64(figure.Highest(take.TruePeakDBTP)), 0.05)
	require.InDelta(t, lufs-6.02, float64(take.Roles[1].IntegratedLUFS), 0.05)
}

// The figures in DEVELOPERS.md: a whole report on ten minutes of stereo speech
// in a room, and what the reference library takes for loudness and true peak of
// it. cpu-s is what both spend on all processors.
func BenchmarkReport(b *testing.B) {
	speech := talk(b, 48000, 600)
	path := write16(b, 48000, -65, speech, speech)
	b.Run("everything", func(b *testing.B) {
		from := processorTime()
		for b.Loop() {
			_, err := File(context.Background(), path, nil)
			require.NoError(b, err)
		}
		b.ReportMetric((processorTime()-from).Seconds()/float64(b.N), "cpu-s/op")
		b.ReportAllocs()
	})
	b.Run("libebur128", func(b *testing.B) {
		program, spent := reference(b), time.Duration(0)
		for b.Loop() {
			_, _, d := run(b, program, path, 48000, 2, len(speech))
			spent += d
		}
		b.ReportMetric(spent.Seconds()/float64(b.N), "cpu-s/op")
	})
}

func processorTime() time.Duration {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u) // fails for a wrong argument only
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
