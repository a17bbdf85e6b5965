package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A flag means one thing: whichever command has it takes the same kind of value.
func TestAFlagTakesOneKindOfValue(t *testing.T) {
	type kind struct{ value, of string }
	kinds := map[string]kind{}
	var visit func(c *cobra.Command)
	visit = func(c *cobra.Command) {
		c.Flags().VisitAll(func(f *pflag.Flag) {
			what, _ := pflag.UnquoteUsage(f)
			k := kind{f.Value.Type() + " " + what, c.CommandPath()}
			first, known := kinds[f.Name]
			if !known {
				kinds[f.Name] = k
				return
			}
			assert.Equal(t, first.value, k.value, "--%s of %s and of %s", f.Name, first.of, k.of)
		})
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(newRoot(newApp(io.Discard, io.Discard)))
	require.Greater(t, len(kinds), 40)
}

// A page never takes the place of a recording.
func TestAPageReplacesOnlyAPage(t *testing.T) {
	u, dir := newUser(t), t.TempDir()
	recorded := tone(t, 440, -20, 0.5, stereo48)
	was, err := os.ReadFile(recorded)
	require.NoError(t, err)
	for _, words := range [][]string{{"report", recorded}, {"take", "report", "--takes", dir}} {
		require.Contains(t, u.refused(append(words, "--html", recorded)...), "is no page: choose a name that ends in .html")
	}
	now, err := os.ReadFile(recorded)
	require.NoError(t, err)
	require.Equal(t, was, now)
	for range 2 {
		u.ok("report", recorded, "--html", filepath.Join(dir, "a.html"))
	}
}
