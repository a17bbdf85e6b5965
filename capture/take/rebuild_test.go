package take

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/take/bwf"
	"rollready/capture/take/internal/foreign"
)

// A lost first block of the disk takes the header with it; the sheet knows
// what stood there.
func TestALostFirstBlockIsMadeAnew(t *testing.T) {
	for seed := range uint64(8) {
		w := newWreck(t, seed)
		require.NoError(t, Save(w.take))
		clear(w.raw[:min(4096, w.dataAt)])
		require.NoError(t, os.WriteFile(w.take.Path, w.raw, 0o644))
		got := Recover(w.take.Path)
		require.Equal(t, MendedIt, got.Outcome, got.Text)
		require.Equal(t, w.take.Frames, got.Frames)
		require.Equal(t, "its header was broken", got.Text)
		info, err := bwf.Read(w.take.Path)
		require.NoError(t, err)
		require.Equal(t, w.take.Tracks, info.Meta.Tracks)
		require.Equal(t, w.take.Note, info.Meta.Note)
		require.Equal(t, Whole, Recover(w.take.Path).Outcome)
		o := foreign.Open(t, w.take.Path)[0]
		require.Empty(t, o.Error)
		require.Equal(t, w.take.Frames, o.Frames)
	}
}

// Where the sheet is lost too, that of another take with the same tracks tells
// what the bytes mean.
func TestTheSheetOfAnotherTakeHelps(t *testing.T) {
	w := newWreck(t, 1)
	clear(w.raw[:min(4096, w.dataAt)])
	require.NoError(t, os.WriteFile(w.take.Path, w.raw, 0o644))
	got := Recover(w.take.Path)
	require.Equal(t, Hopeless, got.Outcome)
	require.Contains(t, got.Text, "of sound are there: copy the sheet of a take with the same tracks to "+filepath.Base(sheetPath(w.take.Path)))
	other := w.take
	other.Number, other.Frames = 88, 5
	require.NoError(t, Save(other))
	got = Recover(w.take.Path)
	require.Equal(t, MendedIt, got.Outcome, got.Text)
	require.Equal(t, w.take.Frames, got.Frames)
	require.Equal(t, w.take.Frames, foreign.Open(t, w.take.Path)[0].Frames)
}

// A sheet beside something else does not make a take of it.
func TestALetterStaysALetter(t *testing.T) {
	w := newWreck(t, 1)
	require.NoError(t, Save(w.take))
	letter := bytes.Repeat([]byte("the data of our journey are kept here, and nothing of fact\n"), 200)
	require.NoError(t, os.WriteFile(w.take.Path, letter, 0o644))
	require.NotEqual(t, MendedIt, Recover(w.take.Path).Outcome)
	after, err := os.ReadFile(w.take.Path)
	require.NoError(t, err)
	require.Equal(t, letter, after)
}
