package offline

import (
	"context"
	"errors"
	"io"
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/wavfile"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/strips"
)

// record writes three channels of counted frames, one sample of which is no
// number.
func record(t *testing.T, frames int) recording.Reader {
	t.Helper()
	block := make([]float32, 3*frames)
	for i := range block {
		block[i] = float32(i) / float32(len(block))
	}
	block[3*7+1] = float32(math.NaN())
	path := filepath.Join(t.TempDir(), "a.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: 48000, Channels: 3}, wavfile.Float32)
	require.NoError(t, err)
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = r.Close() })
	return r
}

// all reads a run to its end in steps of so many frames.
func all(t *testing.T, r *Run, step int) (in, out []float32) {
	t.Helper()
	for {
		a, b, _, err := r.Next(step)
		if errors.Is(err, io.EOF) {
			return in, out
		}
		require.NoError(t, err)
		in, out = append(in, a...), append(out, b...)
	}
}

func TestGivesThePickedChannelsUnchanged(t *testing.T) {
	const frames = 9000
	run, err := New(record(t, frames), "3+2", strips.Settings{})
	require.NoError(t, err)
	require.Equal(t, capture.Format{RateHz: 48000, Channels: 2}, run.Format())
	in, out := all(t, run, 1<<20)
	require.Len(t, in, 2*frames)
	require.Equal(t, in, out)
	require.EqualValues(t, float32(3*100+2)/(3*frames), in[2*100])
	require.Zero(t, in[2*7+1], "what is no number is silence")
	require.EqualValues(t, 1, run.Sanitised)
}

func TestSameResultInStepsOfAnySize(t *testing.T) {
	set := chain.Settings{GainDB: -3, HighPass: filter.Cut{Hz: 120, Slope: 24}}
	var want []float32
	for _, step := range []int{1 << 20, 480, 77} {
		run, err := New(record(t, 5000), capture.Mix, strips.Of(set))
		require.NoError(t, err)
		_, out := all(t, run, step)
		if want == nil {
			want = out
		}
		require.Equal(t, want, out, "in steps of %d", step)
	}
}

func TestNamesAChannelThatIsMissing(t *testing.T) {
	_, err := New(record(t, 10), "4", strips.Settings{})
	require.ErrorContains(t, err, "channel 4: the input has 3")
}
