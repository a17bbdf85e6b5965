package take

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/recording"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

// wreck is a take on its way to a trial.
type wreck struct {
	t       *testing.T
	rnd     *rand.Rand
	dir     string
	take    Take
	raw     []byte // the WAV
	dataAt  int    // where its samples begin
	samples []byte // all of them
	ours    bool   // the file or its sheet still says that a take rolled
	fixed   bool   // the samples lie where they lay, and fmt is as it was
	said    string // what was done to it
}

// newWreck makes a take, ended or caught while it rolled, with or without a sheet.
func newWreck(t *testing.T, seed uint64) *wreck {
	w := &wreck{t: t, rnd: rand.New(rand.NewPCG(seed, 16)), dir: t.TempDir(), ours: true, fixed: true}
	e := []wavfile.Encoding{wavfile.PCM16, wavfile.PCM24, wavfile.Float32}[w.rnd.IntN(3)]
	channels := []int{1, 2, 4, 6}[w.rnd.IntN(4)]
	names := []string{"processed 1", "input 1", "processed 2", "input 2", "safety -10 dB 1", "safety -10 dB 2"}[:channels]
	w.take = Take{Scene: "9", Number: 1, State: Ended, RateHz: 48000, Encoding: e.String(), Tracks: names,
		Path: filepath.Join(w.dir, "9_001.wav"), Note: "the kettle", Markers: []Marker{{Frame: 3, Text: "clap"}}, Levels: noLevels()}
	file, err := bwf.Create(w.take.Path, capture.Format{RateHz: 48000, Channels: channels}, e, w.take.meta(), nil)
	require.NoError(t, err)
	head, err := os.Stat(w.take.Path)
	require.NoError(t, err)
	w.dataAt = int(head.Size())
	sound := make([]float32, channels*(100+w.rnd.IntN(400)))
	for i := range sound {
		sound[i] = float32(w.rnd.IntN(1<<16)-1<<15) / (1 << 16)
	}
	half := len(sound) / 2 / channels * channels
	require.NoError(t, file.Write(sound[:half]))
	require.NoError(t, file.MakeGood())
	require.NoError(t, file.Write(sound[half:]))
	w.take.Frames, w.samples = file.Frames(), wavfile.Append(e, nil, sound)
	if w.rnd.IntN(2) == 0 {
		w.take.State = Rolling
		w.raw, err = os.ReadFile(w.take.Path)
		require.NoError(t, err)
	}
	require.NoError(t, file.Close(w.take.meta(), w.take.Markers))
	if w.raw == nil {
		w.raw, err = os.ReadFile(w.take.Path)
		require.NoError(t, err)
	}
	return w
}

// chunk gives the place of a chunk's header and its end; of those before the
// samples or behind them.
func (w *wreck) chunk(id string) (from, to int) {
	from = bytes.Index(w.raw[:min(len(w.raw), w.dataAt)], []byte(id))
	if id == "cue " || id == "LIST" {
		from = bytes.LastIndex(w.raw, []byte(id))
	}
	if from < 0 || from+8 > len(w.raw) {
		return 0, 0
	}
	size := int(binary.LittleEndian.Uint32(w.raw[from+4:]))
	return from, min(len(w.raw), from+8+size+size%2)
}

// damage does one of the things that happen to files.
func (w *wreck) damage() {
	id := []string{"bext", "iXML", "cue ", "LIST", "fact", "JUNK", "fmt "}[w.rnd.IntN(7)]
	from, to := w.chunk(id)
	kind := w.rnd.IntN(7)
	w.said += fmt.Sprintf("%d %s, ", kind, id)
	switch kind {
	case 0: // a broken header
		for range 1 + w.rnd.IntN(4) {
			w.raw[w.rnd.IntN(min(len(w.raw), w.dataAt))] ^= byte(1 << w.rnd.IntN(8))
		}
		w.fixed, w.ours = false, false
	case 1: // a size that lies
		at := []int{4, w.dataAt - 4}[w.rnd.IntN(2)]
		if at+4 <= len(w.raw) {
			binary.LittleEndian.PutUint32(w.raw[at:], []uint32{0, 0xFFFFFFFF, w.rnd.Uint32(), uint32(w.rnd.IntN(len(w.raw)))}[w.rnd.IntN(4)])
		}
		w.ours = w.ours && at == 4 // a size that is too small but whole can be meant so
	case 2: // what a chunk says
		for i := from + 8; i < to && id != "fmt " && id != "fact" && id != "JUNK"; i++ {
			w.raw[i] = byte(w.rnd.Uint32())
		}
		w.ours = w.ours && id != "bext"
	case 3: // a chunk twice
		w.raw = append(w.raw[:to:to], append(bytes.Clone(w.raw[from:to]), w.raw[to:]...)...)
		w.fixed = w.fixed && from > w.dataAt
	case 4: // a chunk lost
		if from > 0 {
			w.raw = append(w.raw[:from:from], w.raw[to:]...)
		}
		w.fixed = w.fixed && from > w.dataAt
		w.ours = w.ours && id != "bext"
	case 5: // cut short
		w.raw = w.raw[:1+w.rnd.IntN(len(w.raw))]
	case 6: // cut in the samples
		w.raw = w.raw[:min(len(w.raw), w.dataAt+w.rnd.IntN(len(w.samples)))]
	}
}

// store puts WAV and sheet on the disk.
func (w *wreck) store() {
	require.NoError(w.t, os.WriteFile(w.take.Path, w.raw, 0o644))
	switch w.rnd.IntN(4) {
	case 0: // no sheet
		w.said += "no sheet"
	case 1:
		w.said += "broken sheet"
		require.NoError(w.t, os.WriteFile(sheetPath(w.take.Path), []byte("version = \x00"), 0o644))
	default:
		require.NoError(w.t, Save(w.take))
		w.ours = w.ours || w.take.State == Rolling
	}
}

func (w *wreck) files() [2]string {
	wav, _ := os.ReadFile(w.take.Path)
	sheet, _ := os.ReadFile(sheetPath(w.take.Path))
	return [2]string{string(wav), string(sheet)}
}

// mended demands that a second run finds nothing and changes nothing, and that
// every whole frame that was there can be read.
func (w *wreck) mended() Outcome {
	t := w.t
	first := Recover(w.take.Path)
	before := w.files()
	second := Recover(w.take.Path)
	require.True(t, before == w.files(), "the second run changed something")
	if first.Outcome == MendedIt {
		require.Equal(t, Whole, second.Outcome, second.Text)
	} else {
		require.Equal(t, first, second)
	}
	if second.Outcome != Whole {
		require.NotEmpty(t, first.Text)
		return first.Outcome
	}
	require.Equal(t, first.Frames, second.Frames)
	r, err := recording.Open(t.Context(), w.take.Path)
	require.NoError(t, err)
	defer r.Close()
	require.Equal(t, first.Frames, r.Frames())
	require.False(t, r.Truncated(), first.Text)
	if w.fixed {
		frame := len(w.samples) / int(w.take.Frames)
		there := min(len(w.samples), len(w.raw)-w.dataAt) / frame
		require.True(t, bytes.HasPrefix([]byte(before[0][w.dataAt:]), w.samples[:there*frame]), "sound was lost")
		if w.ours {
			require.GreaterOrEqual(t, first.Frames, int64(there), first.Text)
		}
	}
	return first.Outcome
}

// wrecks counts what becomes of n damaged takes.
func wrecks(t *testing.T, n int) {
	became := map[Outcome]int{}
	for seed := range n {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			w := newWreck(t, uint64(seed))
			for range 1 + w.rnd.IntN(2) {
				w.damage()
			}
			w.store()
			t.Log(w.said, w.take.State)
			became[w.mended()]++
		})
	}
	t.Logf("%d damaged takes: %v", n, became)
	require.Greater(t, became[MendedIt], n/4)
}

func TestDamagedTakesAreMendedOnce(t *testing.T) { wrecks(t, 150) }
