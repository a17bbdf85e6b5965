package recording

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

func TestSourcePlaysTheWholeFile(t *testing.T) {
	for _, paced := range []bool{false, true} {
		s, err := NewSource(context.Background(), "../../testdata/reference/lib_wav_pcm24.wav", paced)
		require.NoError(t, err)
		require.Equal(t, "lib_wav_pcm24.wav", s.Name())
		require.Equal(t, capture.File, s.Kind())
		require.Equal(t, capture.Format{RateHz: 48000, Channels: 1}, s.Format())
		var got []float32
		require.NoError(t, s.Start(func(b []float32) { got = append(got, b...) }))
		<-s.Done()
		require.NoError(t, s.Err())
		require.Len(t, got, 1001)
		require.EqualValues(t, 0.5, got[12])
		require.NoError(t, s.Close())
		require.NoError(t, s.Close())
	}
}

func TestSourceOfNoFile(t *testing.T) {
	_, err := NewSource(context.Background(), "absent.wav", true)
	require.ErrorContains(t, err, "absent.wav")
}
