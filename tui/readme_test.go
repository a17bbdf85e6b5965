package tui

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/tui/keys"
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

// TestKeysInTheHelp: its page has the keys of each screen, as ? shows them, and
// so have the man pages. UPDATE_GOLDEN=1 writes it anew.
func TestKeysInTheHelp(t *testing.T) {
	const page = "../cmd/rollready/help/keys.md"
	r := still(t, nil, 80, 24)
	want := "# Keys of every screen\n\nOn a screen, `?` shows its keys.\n"
	section := func(title string, table keys.Table) {
		want += "\n## " + title + "\n\n| key | does |\n|---|---|\n"
		for _, b := range table {
			want += "| `" + b.Title() + "` | " + b.Does + " |\n"
		}
	}
	section("Everywhere", slices.Concat(r.tables[0], r.tables[1]))
	for _, s := range r.all {
		section(s.Name(), s.Keys())
	}
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile(page, []byte(want), 0o644))
	}
	got, err := os.ReadFile(page)
	require.NoError(t, err)
	require.Equal(t, want, string(got), "UPDATE_GOLDEN=1 writes the page of keys anew")
}
