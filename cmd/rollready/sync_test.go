package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
)

func TestSyncSaysWhatIsMissing(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	file := filepath.Join(dir, "file.wav")
	writeVoice(t, file, 0, 1)
	for says, args := range map[string][]string{
		"no card given":       {"sync"},
		"--out DIR":           {"sync", dir},
		"put {clip} into it":  {"sync", dir, "--out", dir, "--pattern", "x"},
		"choose processed":    {"sync", dir, "--out", dir, "--tracks", "left"},
		"no recordings in it": {"sync", dir, "--out", dir, "--takes", t.TempDir()},
		"is a file":           {"sync", dir, "--out", file},
		"put the card in":     {"sync", filepath.Join(dir, "card"), "--out", dir, "--takes", dir},
		"with --takes DIR":    {"sync", dir, "--out", dir, "--takes", filepath.Join(dir, "none")},
	} {
		require.Contains(t, u.refused(args...), says)
	}
}

// writeVoice cuts a piece out of the project's own voice.
func writeVoice(t *testing.T, path string, fromS, seconds float64) {
	t.Helper()
	r, err := wavfile.Open("../../testdata/signals/speech_22k.wav")
	require.NoError(t, err)
	defer r.Close()
	x := make([]float32, r.Frames())
	_, err = r.Read(x)
	require.NoError(t, err)
	w, err := wavfile.Create(path, capture.Format{RateHz: 22050, Channels: 1}, wavfile.PCM16)
	require.NoError(t, err)
	require.NoError(t, w.Write(x[int(fromS*22050):int((fromS+seconds)*22050)]))
	require.NoError(t, w.Close())
}

func TestSyncFindsWritesAndHasNothingToDoThen(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	card, takes, out := filepath.Join(dir, "card"), filepath.Join(dir, "takes"), filepath.Join(dir, "out")
	require.NoError(t, os.Mkdir(card, 0o755))
	require.NoError(t, os.Mkdir(takes, 0o755))
	writeVoice(t, filepath.Join(takes, "mill_001.wav"), 0, 10)
	writeVoice(t, filepath.Join(card, "clip.wav"), 2.5, 5)
	args := []string{"sync", card, "--takes", takes, "--out", out}

	stdout := u.ok(append(args, "--dry-run")...)
	require.Contains(t, stdout, "2.5000 s")
	require.Contains(t, stdout, "to be written")
	require.NoDirExists(t, out)

	var said struct {
		Clips []struct {
			Parts []struct {
				Fit struct {
					OffsetS float64 `json:"offset_s"`
				} `json:"fit"`
			} `json:"parts"`
		} `json:"clips"`
		Outputs []struct {
			Path   string `json:"path"`
			Frames int64  `json:"frames"`
		} `json:"outputs"`
	}
	raw := u.ok(append(args, "--json")...)
	require.NotRegexp(t, `"[A-Z]\w*":|"\w+s":null|0001-01-01`, raw)
	require.NoError(t, json.Unmarshal([]byte(raw), &said))
	require.InDelta(t, 2.5, said.Clips[0].Parts[0].Fit.OffsetS, 0.0001)
	require.EqualValues(t, 5*22050, said.Outputs[0].Frames)
	for _, name := range []string{filepath.Base(said.Outputs[0].Path), "day.otio", "day.csv"} {
		require.FileExists(t, filepath.Join(out, name))
	}

	require.Contains(t, u.ok(args...), "there already")

	// The same sound in two takes: there is no telling, and it is said.
	writeVoice(t, filepath.Join(takes, "copy.wav"), 0, 10)
	require.Contains(t, u.ok(append(args, "--dry-run")...), "fits as well in")
}
