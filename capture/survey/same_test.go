package survey

import (
	"context"
	"fmt"
	"io"
	"math"
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/recording"
	"rollready/dsp"
	"rollready/dsp/bands"
)

// plainly measures a file on one goroutine, in blocks of so many frames.
func plainly(t *testing.T, path string, frames int) Result {
	t.Helper()
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	defer r.Close()
	f := r.Format()
	m, block := New(f, r.Tracks()), make([]float32, frames*f.Channels)
	for {
		n, err := r.Read(block)
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		m.Process(block[:n*f.Channels])
	}
	result := m.Result()
	result.Path = path
	return result
}

// faulty is a file with something for every stage to find.
func faulty(t *testing.T) string {
	voice := make([]float64, 0, 20*rate)
	for _, v := range talk(t, rate, 20) {
		voice = append(voice, float64(v))
	}
	left := holes(clip(add(add(voice, white(-60, len(voice), 1)), mains(50, -50, len(voice))), 6, 0.7))
	right := clip(add(offset(voice, 0.01), deep(-40, 25, len(voice), 2)), 10, 1)
	return save(t, left[:len(left)-123], right[:len(left)-123])
}

// Stages side by side on shared blocks find what one after the other does, to
// the last bit.
func TestSideBySideEqualsOneAfterTheOther(t *testing.T) {
	path := faulty(t)
	want := plainly(t, path, blockFrames)
	require.Greater(t, len(want.Findings), 3)
	require.NotEmpty(t, want.Events)
	for range 5 {
		got, err := File(context.Background(), path, nil)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
}

// How the file is cut into blocks changes nothing beyond rounding.
func TestBlockSizesDoNotMatter(t *testing.T) { blockSizes(t, 17, 1000, 65536) }

func blockSizes(t *testing.T, sizes ...int) {
	path := faulty(t)
	want := plainly(t, path, blockFrames)
	for _, frames := range sizes {
		same(t, reflect.ValueOf(want), reflect.ValueOf(plainly(t, path, frames)))
	}
}

// same compares two values, their floating-point numbers to 1e-9.
func same(t *testing.T, a, b reflect.Value) {
	t.Helper()
	switch a.Kind() {
	case reflect.Float64:
		if x, y := a.Float(), b.Float(); x != y && !(math.IsNaN(x) && math.IsNaN(y)) {
			require.InDelta(t, x, y, 1e-9)
		}
	case reflect.Struct:
		for i := range a.NumField() {
			same(t, a.Field(i), b.Field(i))
		}
	case reflect.Slice:
		require.Equal(t, a.Len(), b.Len())
		for i := range a.Len() {
			same(t, a.Index(i), b.Index(i))
		}
	default:
		require.Equal(t, fmt.Sprint(a), fmt.Sprint(b))
	}
}

// The bands of a report are those of the live meter.
func TestBandsEqualTheLiveOnes(t *testing.T) {
	path := faulty(t)
	r, err := File(context.Background(), path, nil)
	require.NoError(t, err)
	file, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	defer file.Close()
	view := dsp.DefaultView()
	view.HoldSeconds = math.Inf(1)
	live := dsp.NewMeter(rate, 2, view)
	block := make([]float32, 2*1000)
	for {
		n, err := file.Read(block)
		if err == io.EOF {
			break
		}
		live.Process(block[:2*n], block[:2*n], nil)
	}
	require.Len(t, r.Bands, bands.Count)
	for i, b := range r.Bands {
		require.InDelta(t, live.Reading().Bands[i].HoldDBFS, float64(b.MaxDBFS), 1e-9, "band %d", i)
	}
}
