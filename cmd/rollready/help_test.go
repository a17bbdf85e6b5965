package main

import (
	"debug/buildinfo"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/stretchr/testify/require"

	"rollready/tui/format"
)

// version tells what the Go tools read out of the program.
func TestVersionTellsWhatWasBuilt(t *testing.T) {
	u := newUser(t)
	built, err := buildinfo.ReadFile(binary)
	require.NoError(t, err)
	got := objects[versionJSON](t, u.ok("version", "--json"))[0]
	require.Equal(t, built.Main.Version, got.Version)
	require.Equal(t, built.GoVersion, got.Go)
	require.Len(t, got.Libraries, len(built.Deps))
	text := u.ok("version")
	require.Contains(t, text, "rollready "+got.Version+"\n")
	for _, d := range built.Deps {
		require.Contains(t, got.Libraries, libraryJSON{d.Path, d.Version})
		require.Contains(t, text, d.Path)
	}
}

func TestHelpTellsOfTopicsAndCommands(t *testing.T) {
	u := newUser(t)
	list := u.ok("help")
	for _, topic := range topics() {
		require.Contains(t, list, "  "+topic.name+" ")
		page := u.ok("help", topic.name)
		require.True(t, strings.HasPrefix(page, topic.title+"\n"), page)
		require.NotContains(t, page, "`")
		require.NotContains(t, page, "![")
		require.NotContains(t, page, "|---")
	}
	require.Equal(t, u.ok("take", "record", "--help"), u.ok("help", "take", "record"))
	require.Contains(t, u.refused("help", "weather"), "neither a topic nor a command")
}

func TestMarkdownOnTheTerminal(t *testing.T) {
	const page = "# One\n\nSee [there](x.md), **bold** and `code`.\n\n![Picture](y.svg)\n\n| key | does |\n|---|---|\n| `q` | quit |\n"
	require.Equal(t, "One\n\nSee there, bold and code.\n\n  key                does\n  q                  quit\n", format.Markdown(page, lipgloss.NewStyle().Render))
}

// What a package brings: a page for each command and topic, four shells.
func TestManualWritesPagesAndCompletions(t *testing.T) {
	dir := t.TempDir()
	newUser(t).ok("manual", dir)
	for path, c := range everyCommand() {
		raw, err := os.ReadFile(filepath.Join(dir, "man", "man1", "rollready-"+strings.ReplaceAll(path, " ", "-")+".1"))
		require.NoError(t, err)
		require.Contains(t, string(raw), c.Short)
	}
	for _, topic := range topics() {
		raw, err := os.ReadFile(filepath.Join(dir, "man", "man7", "rollready-"+topic.name+".7"))
		require.NoError(t, err)
		require.Contains(t, string(raw), `rollready-`+topic.name+` \- `+topic.title)
	}
	for _, shell := range []string{"rollready.bash", "_rollready", "rollready.fish", "rollready.ps1"} {
		raw, err := os.ReadFile(filepath.Join(dir, "completions", shell))
		require.NoError(t, err)
		require.Contains(t, string(raw), "rollready")
	}
}
