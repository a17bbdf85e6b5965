package tui

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// block gives the README before, between and behind a table's head and end.
func block(t *testing.T, head string) (before, table, after string) {
	t.Helper()
	raw, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(raw), head+"\n")
	require.True(t, found, head)
	table, after, found = strings.Cut(rest, "\n\n")
	require.True(t, found, head)
	return before + head + "\n", table, "\n\n" + after
}

// TestScreensInTheReadme: its table has the screens by their numbers.
func TestScreensInTheReadme(t *testing.T) {
	_, table, _ := block(t, "| screen | what it is for |")
	rows := strings.Split(table, "\n")[1:]
	r := still(t, nil, 80, 24)
	require.Len(t, rows, len(r.all))
	for i, s := range r.all {
		require.True(t, strings.HasPrefix(rows[i], fmt.Sprintf("| %d %s | ", i+1, s.Name())), rows[i])
	}
}

// TestKeysInTheReadme: its table has the keys of every screen.
// UPDATE_GOLDEN=1 writes it anew.
func TestKeysInTheReadme(t *testing.T) {
	before, table, after := block(t, "| key | on every screen |")
	r := still(t, nil, 80, 24)
	want := "|---|---|"
	for _, b := range slices.Concat(r.tables[0], r.tables[1]) {
		want += "\n| `" + b.Title() + "` | " + b.Does + " |"
	}
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile("../README.md", []byte(before+want+after), 0o644))
		return
	}
	require.Equal(t, want, table, "UPDATE_GOLDEN=1 writes the table of keys anew")
}
