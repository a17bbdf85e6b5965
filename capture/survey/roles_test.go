package survey

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
	"rollready/dsp/filter"
)

// saveTake writes a recording whose tracks have names, in 24 bits.
func saveTake(t *testing.T, names []string, channels ...[]float64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "take.wav")
	meta := bwf.Meta{Tracks: names}
	w, err := bwf.Create(path, capture.Format{RateHz: rate, Channels: len(channels)}, wavfile.PCM24, meta, nil)
	require.NoError(t, err)
	block := make([]float32, 0, len(channels)*len(channels[0]))
	for i := range channels[0] {
		for _, x := range channels {
			block = append(block, float32(x[i]))
		}
	}
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close(meta, nil))
	return path
}

var fourTracks = []string{"processed 1", "processed 2", "input 1", "input 2"}

// A take reads as loud as its processed pair alone, whatever else it holds.
func TestRolesAreMeasuredApart(t *testing.T) {
	v := scene(t)[:8*rate]
	left, right := add(v, white(-70, len(v), 1)), add(v, white(-70, len(v), 2))
	raw := scale(v, -15)
	pair := measured(t, save(t, left, right))
	take := measured(t, saveTake(t, append(fourTracks, "safety -10 dB 1", "safety -10 dB 2"), left, right, raw, raw, scale(left, -10), scale(right, -10)))
	require.InDelta(t, float64(pair.IntegratedLUFS), float64(take.IntegratedLUFS), 0.001)
	require.InDelta(t, float64(pair.NoiseFloorDBA), float64(take.NoiseFloorDBA), 0.01)
	require.Equal(t, 2, take.Channels)
	require.Len(t, take.TruePeakDBTP, 2)
	require.Len(t, take.Tracks, 6)
	require.Equal(t, "input 2", take.Tracks[3].Name)
	require.Equal(t, 4, take.Tracks[3].Channel)
	require.InDelta(t, float64(take.Tracks[0].TruePeakDBTP)-10, float64(take.Tracks[4].TruePeakDBTP), 0.01)
	require.Len(t, take.Roles, 3)
	require.Equal(t, []int{3, 4}, take.Roles[1].Channels)
	require.InDelta(t, float64(take.IntegratedLUFS)-10, float64(take.Roles[2].IntegratedLUFS), 0.02)
	require.Empty(t, pair.Roles)
	require.Len(t, pair.Tracks, 2)
}

// Each fault is found once, in the tracks that it comes from.
func TestBlameIsRight(t *testing.T) {
	v := scene(t)[:8*rate]
	v = add(v, white(-72, len(v), 1))
	quiet, other := scale(v, -10), add(scale(v, -1), white(-75, len(v), 2))
	hot := clip(v, 16, 1)
	safe := scale(clip(v, 6, 10), 0)
	rumbling := add(v, deep(-40, 25, len(v), 3))
	silent, zeros := white(-88, len(v), 3), make([]float64, len(v))
	for name, c := range map[string]struct {
		names    []string
		channels [][]float64
		want     []string
		action   string
	}{
		"clean":              {fourTracks, [][]float64{v, other, quiet, scale(other, -10)}, nil, ""},
		"our gain":           {fourTracks, [][]float64{hot, hot, v, v}, []string{"output-clipped stop processed [1 2]"}, "The raw track is clean: take that."},
		"no raw track":       {[]string{"processed 1", "safety -10 dB 1"}, [][]float64{hot, safe}, []string{"output-clipped stop processed [1]"}, "The safety track is clean: take that."},
		"the input":          {fourTracks, [][]float64{scale(hot, -6), v, hot, v}, []string{"input-clipped stop input [3]"}, "at the interface"},
		"the input, mono":    {[]string{"processed 1", "input 1"}, [][]float64{hot, hot}, []string{"input-clipped stop input [2]"}, "at the interface"},
		"before the input":   {fourTracks, [][]float64{v, v, clip(v, 20, 0.6), v}, []string{"flat-topped stop input [3]"}, "transmitter"},
		"a dead channel":     {fourTracks, [][]float64{v, silent, quiet, silent}, []string{"dead-channel caution input [4]"}, "input track 3"},
		"inverted":           {fourTracks, [][]float64{v, inverted(v), quiet, inverted(quiet)}, []string{"polarity-inverted stop input []"}, ""},
		"inverted, mended":   {fourTracks, [][]float64{v, v, quiet, inverted(quiet)}, []string{"polarity-inverted info input []"}, ""},
		"all muted":          {fourTracks, [][]float64{zeros, zeros, quiet, other}, []string{"muted stop processed [1 2]"}, "Take input tracks 3 and 4 instead"},
		"muted and dead":     {[]string{"processed 1", "input 1"}, [][]float64{zeros, silent}, []string{"muted stop processed [1]", "silence stop input []"}, ""},
		"one muted":          {fourTracks, [][]float64{v, zeros, quiet, silent}, []string{"muted info processed [2]"}, "take input track 4"},
		"one muted, of mono": {[]string{"processed 1", "input 1"}, [][]float64{zeros, v}, []string{"muted stop processed [1]"}, "Take input track 2"},
		"rumble, mended":     {fourTracks, [][]float64{v, other, rumbling, rumbling}, []string{"rumble info input []"}, ""},
		"rumble, not mended": {fourTracks, [][]float64{rumbling, rumbling, rumbling, rumbling}, []string{"rumble caution processed []"}, ""},
		"hum in the room":    {fourTracks, [][]float64{add(v, mains(50, -55, len(v))), v, add(v, mains(50, -55, len(v))), v}, []string{"hum caution processed [1]"}, ""},
	} {
		r := measured(t, saveTake(t, c.names, c.channels...))
		var got []string
		for _, f := range r.Findings {
			where := append([]int{}, f.Channels...)
			if f.Channel > 0 {
				where = []int{f.Channel}
			}
			got = append(got, fmt.Sprint(f.Code, " ", f.Severity, " ", f.Track, " ", where))
			require.Contains(t, f.Action, c.action, name)
		}
		require.Equal(t, c.want, got, name)
	}
}

func measured(t *testing.T, path string) Result {
	t.Helper()
	r, err := File(context.Background(), path, nil)
	require.NoError(t, err)
	return r
}

// compared gives who is cleaner, and why.
func compared(t *testing.T, a, b string) (c Comparison, codes []string) {
	t.Helper()
	c, err := Compare(context.Background(), a, b, nil)
	require.NoError(t, err)
	for _, r := range c.Reasons {
		codes = append(codes, r.Code+" "+r.Cleaner)
	}
	return c, codes
}

// The same sound is the same, however often it is in a file and however loud.
func TestTheSameSoundIsNoCleaner(t *testing.T) {
	v := scene(t)[:5*rate]
	v = add(v, white(-60, len(v), 1))
	mono, soft := save(t, v), scale(v, -6)
	for name, c := range map[string]struct {
		a, b   string
		gainDB float64
	}{
		"mono and dual mono":              {mono, save(t, v, v), 0},
		"eight copies":                    {mono, save(t, v, v, v, v, v, v, v, v), 0},
		"6 dB softer":                     {mono, save(t, soft), -6},
		"voice on one of two":             {mono, save(t, v, make([]float64, len(v))), 0},
		"a take and a softer copy of it":  {saveTake(t, fourTracks, v, v, v, v), saveTake(t, fourTracks, soft, soft, soft, soft), -6},
		"a take and a camera":             {saveTake(t, fourTracks, v, v, soft, soft), save(t, v, v), 0},
		"a camera and a take of one mic":  {save(t, v, v), saveTake(t, []string{"processed 1", "input 1"}, soft, v), -6},
		"a take with a noisy raw channel": {saveTake(t, fourTracks, v, v, add(v, white(-40, len(v), 7)), v), mono, 0},
	} {
		got, why := compared(t, c.a, c.b)
		require.Equal(t, equal, got.Cleaner, name)
		require.Empty(t, why, name)
		require.InDelta(t, c.gainDB, float64(got.GainDB), 0.1, name)
	}
	c, _ := compared(t, mono, save(t, soft))
	require.Contains(t, c.How(), "B is 6.0 dB quieter.")
}

// Where only the chain overloaded, the track to take instead is named.
func TestTheComparisonNamesTheCleanTrack(t *testing.T) {
	v := scene(t)[:8*rate]
	hot := clip(add(v, white(-72, len(v), 1)), 16, 1)
	c, why := compared(t, saveTake(t, fourTracks, hot, hot, v, v), save(t, scale(v, -6)))
	require.Contains(t, why, "overload b")
	require.Contains(t, c.How(), "Of A the sound that went through the chain overloads. The raw track is clean: take that.")
	require.NotContains(t, c.How(), "Of B")
}

// White noise reaches higher than a voice; it is no sound to keep up with. What
// takes treble away is.
func TestNoiseIsNoBandwidth(t *testing.T) {
	v := scene(t)[:8*rate]
	clean, noisy := add(v, white(-80, len(v), 1)), add(v, white(-50, len(v), 2))
	_, why := compared(t, save(t, clean), save(t, noisy))
	require.Equal(t, []string{"noise a"}, why)
	_, why = compared(t, save(t, noisy), save(t, scale(clean, -6)))
	require.Equal(t, []string{"noise b"}, why)
}

// What was cut off took its noise with it: that is no cleaner.
func TestACutCopyIsNoCleaner(t *testing.T) { noCutCopyIsCleaner(t, voices[:1]) }

func noCutCopyIsCleaner(t *testing.T, voices []speaker) {
	for k, who := range voices {
		x := onStage(t, who, rate)
		v := add(x, white(-66, len(x), uint64(k)))
		for _, hz := range []float64{2500, 4000, 6000} {
			cut := filtered(v, filter.LowPass(filter.Cut{Hz: hz, Slope: 24}, rate))
			c, why := compared(t, save(t, v), save(t, scale(cut, -3)))
			require.Equal(t, sideA, c.Cleaner, "%s cut at %g Hz: %v", who.name, hz, why)
			require.Equal(t, []string{"bandwidth a"}, why, "%s cut at %g Hz", who.name, hz)
		}
	}
}

// A take that lost its own names has its roles by the sheet beside it.
func TestRolesByTheSheet(t *testing.T) {
	v := scene(t)[:3*rate]
	path := save(t, v, scale(v, -10))
	require.Empty(t, measured(t, path).Roles)
	sheet := path[:len(path)-len("wav")] + "toml"
	require.NoError(t, os.WriteFile(sheet, []byte("version = 1\ntracks = ['processed 1', 'input 1']\n"), 0o644))
	require.Len(t, measured(t, path).Roles, 2)
	require.NoError(t, os.WriteFile(sheet, []byte("tracks = ['processed 1']\n"), 0o644))
	require.Empty(t, measured(t, path).Roles, "of another file")
}
