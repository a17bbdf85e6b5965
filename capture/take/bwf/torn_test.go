package bwf

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/internal/foreign"
	"rollready/capture/wavfile"
)

// tornCase is a whole file and its header in an earlier state.
type tornCase struct {
	name     string
	channels int
	encoding wavfile.Encoding
	frames   int
}

var tornCases = []tornCase{
	{"mono, odd number of bytes", 1, wavfile.PCM24, 101},
	{"stereo", 2, wavfile.PCM24, 100},
	{"four tracks", 4, wavfile.PCM16, 50},
	{"float with fact", 1, wavfile.Float32, 60},
}

// Whatever the byte a file is cut at, and whether its header is the last one
// or one from while the take was rolling, Mend finds every whole frame.
func TestTornAtEveryByte(t *testing.T) {
	for _, c := range tornCases {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			samples := noise(c.frames * c.channels)
			rolling, whole, dataAt := states(t, dir, c, samples)
			var mended []string
			for state, file := range map[string][]byte{"rolling": rolling, "ended": whole} {
				for cut := 0; cut <= len(file); cut++ {
					if cut < dataAt-50 && cut > 100 { // a header is lost wherever it is cut
						cut += 100
					}
					m := memory(bytes.Clone(file[:cut]))
					if mendOne(t, &m, cut, dataAt, c) && cut%23 == 0 {
						path := filepath.Join(dir, fmt.Sprintf("%s-%d.wav", state, cut))
						require.NoError(t, os.WriteFile(path, m, 0o644))
						mended = append(mended, path)
					}
				}
			}
			for i, o := range foreign.Open(t, mended...) {
				require.Empty(t, o.Error, mended[i])
			}
			require.Greater(t, len(mended), 10)
		})
	}
}

// states gives the file as it is while rolling, with more sound than its
// header knows, and as it is when ended.
func states(t *testing.T, dir string, c tornCase, samples []float32) (rolling, whole []byte, dataAt int) {
	path := filepath.Join(dir, "whole.wav")
	w, err := Create(path, capture.Format{RateHz: 48000, Channels: c.channels}, c.encoding, meta, nil)
	require.NoError(t, err)
	half := len(samples) / 2 / c.channels * c.channels
	require.NoError(t, w.Write(samples[:half]))
	require.NoError(t, w.MakeGood())
	require.NoError(t, w.Write(samples[half:]))
	rolling, err = os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, w.Close(meta, markers))
	whole, err = os.ReadFile(path)
	require.NoError(t, err)
	return rolling, whole, int(parse(t, path).dataAt)
}

// mendOne demands that every whole frame before the cut is there afterwards.
func mendOne(t *testing.T, m *memory, cut, dataAt int, c tornCase) (sound bool) {
	info, err := ReadFrom(m, int64(len(*m)))
	if cut < dataAt {
		require.ErrorIs(t, err, ErrNoSound, "cut at %d", cut)
		return false
	}
	require.NoError(t, err, "cut at %d", cut)
	got, err := info.mend(m, false, markers)
	require.NoError(t, err, "cut at %d", cut)
	frames := min(c.frames, (cut-dataAt)/(c.encoding.Bytes()*c.channels))
	require.Equal(t, int64(frames), got.Frames, "cut at %d: %s", cut, got.What)
	p := parseFrom(t, m, int64(len(*m)))
	require.Equal(t, uint64(frames*c.encoding.Bytes()*c.channels), p.dataSize)
	if got.What != "" {
		require.Equal(t, markers, p.cues(t), "cut at %d: %s", cut, got.What)
	}
	info, err = ReadFrom(m, int64(len(*m)))
	require.NoError(t, err)
	again, err := info.mend(m, false, markers)
	require.NoError(t, err)
	require.Empty(t, again.What, "cut at %d", cut)
	return frames > 0
}

func TestMendLeavesOthersAlone(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"lib_wav_pcm24", "lib_rf64_ext24", "fixture_bwf_v2_ext24", "fixture_rf64_ext24"} {
		raw, err := os.ReadFile("../../../testdata/reference/" + name + ".wav")
		require.NoError(t, err)
		for _, tail := range []string{"", "some other program's notes behind the end"} {
			path := filepath.Join(dir, name+".wav")
			require.NoError(t, os.WriteFile(path, append(raw[:len(raw):len(raw)], tail...), 0o644))
			got, err := Mend(path, false, markers)
			require.NoError(t, err)
			require.Empty(t, got.What, name)
			after, _ := os.ReadFile(path)
			require.Equal(t, string(raw)+tail, string(after))
		}
	}
}

func TestMendRefusesWhatIsNoWave(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	require.NoError(t, os.WriteFile(path, []byte("a letter to my aunt, kept under a wrong name"), 0o644))
	_, err := Mend(path, true, nil)
	require.ErrorContains(t, err, "not a WAV file")
}

// photographer copies the file after every half and whole write, as a power
// cut or a copy at that moment would find it.
type photographer struct {
	File
	path string
	dir  string
	shot int
}

func (p *photographer) WriteAt(raw []byte, at int64) (int, error) {
	half := len(raw) / 2
	if _, err := p.File.WriteAt(raw[:half], at); err != nil {
		return 0, err
	}
	p.copy()
	n, err := p.File.WriteAt(raw[half:], at+int64(half))
	p.copy()
	return half + n, err
}

func (p *photographer) copy() {
	raw, err := os.ReadFile(p.path)
	if err == nil {
		err = os.WriteFile(filepath.Join(p.dir, fmt.Sprintf("%04d.wav", p.shot)), raw, 0o644)
	}
	if err != nil {
		panic(err)
	}
	p.shot++
}

// Between any two writes the file opens in a foreign reader with no more than
// one stretch between two MakeGoods missing.
func TestOpensAtEveryMoment(t *testing.T) {
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "a.wav")
	p := &photographer{path: path, dir: dir}
	const stretch, stretches = 300, 20
	w, err := Create(path, capture.Format{RateHz: 48000, Channels: 3}, wavfile.PCM24, meta, func(path string) (f File, err error) {
		p.File, err = Open(path)
		return p, err
	})
	require.NoError(t, err)
	p.shot = 0 // the file being born is not of interest
	var good []int64
	mark := func() {
		for len(good) < p.shot {
			good = append(good, w.Good())
		}
	}
	for range stretches {
		require.NoError(t, w.Write(noise(3*stretch)))
		mark()
		before := w.Good()
		require.NoError(t, w.MakeGood())
		for len(good) < p.shot {
			good = append(good, before)
		}
	}
	require.NoError(t, w.Close(meta, markers))
	mark()
	paths := make([]string, p.shot)
	for i := range paths {
		paths[i] = filepath.Join(dir, fmt.Sprintf("%04d.wav", i))
	}
	for i, o := range foreign.Open(t, paths...) {
		if good[i] == 0 && o.Frames == 0 {
			continue // nothing was promised yet
		}
		require.Empty(t, o.Error, "moment %d", i)
		require.GreaterOrEqual(t, o.Frames, min(good[i], stretch*stretches-stretch), "moment %d", i)
	}
	require.Greater(t, len(paths), 100)
}
