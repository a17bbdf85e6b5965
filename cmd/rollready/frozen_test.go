package main

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFrozenOutput holds what every command says and writes on a small set of
// files: text, JSON, exit code, errors, and the bytes of files that are made.
// A change of behaviour shows here. Where it is meant, UPDATE_GOLDEN=1 writes
// testdata/frozen anew: read the difference before committing.
//
// In each script a line is a command of the program. Words starting with @
// are done by the test instead: @cat FILE shows a text, @page FILE the words of a
// page, @sum FILE the length and sum of bytes; @cut FILE N takes N bytes off its
// end, @ls FOLDER shows the names in it.
func TestFrozenOutput(t *testing.T) {
	scripts, err := filepath.Glob("testdata/frozen/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, scripts)
	signals := t.TempDir()
	frozenSignals(t, signals)
	for _, script := range scripts {
		name := strings.TrimSuffix(filepath.Base(script), ".txt")
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			said := newFrozen(t, signals).play(commandsOf(t, script))
			if os.Getenv("UPDATE_GOLDEN") != "" {
				require.NoError(t, os.WriteFile(script, []byte(said), 0o644))
			}
			sameSteps(t, script, said)
		})
	}
}

// sameSteps compares command by command, so that only what differs is shown.
func sameSteps(t *testing.T, script, said string) {
	want, err := os.ReadFile(script)
	require.NoError(t, err)
	wanted, got := strings.Split(string(want), "\n$ "), strings.Split(said, "\n$ ")
	require.Len(t, got, len(wanted), script)
	for i, step := range wanted {
		command, _, _ := strings.Cut(step, "\n")
		if got[i] != step {
			t.Errorf("%s: where this is meant, UPDATE_GOLDEN=1\n$ %s\n%s", script, command, difference(step, got[i]))
		}
	}
}

// difference marks the lines that only one of two texts has.
func difference(want, got string) string {
	var marked strings.Builder
	for _, side := range [2][3]string{{want, got, "-"}, {got, want, "+"}} {
		lines := strings.Split(side[1], "\n")
		for _, line := range strings.Split(side[0], "\n") {
			if !slices.Contains(lines, line) {
				marked.WriteString(side[2] + line + "\n")
			}
		}
	}
	return cmp.Or(marked.String(), "the same lines in another order\n")
}

// commandsOf gives the lines of a script that begin with "$ ".
func commandsOf(t *testing.T, script string) (commands []string) {
	text, err := os.ReadFile(script)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		if command, is := strings.CutPrefix(line, "$ "); is {
			commands = append(commands, strings.TrimSpace(command))
		}
	}
	require.NotEmpty(t, commands, script)
	return commands
}

// frozen plays scripts in a folder of its own.
type frozen struct {
	user
	dir string
}

func newFrozen(t *testing.T, signals string) frozen {
	f := frozen{newUser(t), t.TempDir()}
	f.config = "config"
	f.env = append(f.env, "TZ=UTC", "NO_COLOR=1", "HOME="+f.dir, "COLUMNS=100")
	require.NoError(t, os.CopyFS(f.dir, os.DirFS(signals)))
	return f
}

func (f frozen) play(commands []string) string {
	var said strings.Builder
	for _, command := range commands {
		fmt.Fprintf(&said, "$ %s\n", command)
		words := split(command)
		if strings.HasPrefix(words[0], "@") {
			said.WriteString(f.steady(f.aside(words)))
			continue
		}
		cmd := f.command(words...)
		cmd.Dir = f.dir
		var out, complaints strings.Builder
		cmd.Stdout, cmd.Stderr = &out, &complaints
		_ = cmd.Run()
		said.WriteString(f.steady(out.String()))
		for line := range strings.Lines(f.steady(complaints.String())) {
			said.WriteString("! " + line)
		}
		if code := cmd.ProcessState.ExitCode(); code != 0 {
			fmt.Fprintf(&said, "exit %d\n", code)
		}
	}
	return said.String()
}

// aside is what the test does itself in between.
func (f frozen) aside(words []string) string {
	path := filepath.Join(f.dir, words[1])
	switch words[0] {
	case "@ls":
		entries, err := os.ReadDir(path)
		require.NoError(f.t, err)
		var names strings.Builder
		for _, e := range entries {
			names.WriteString(e.Name() + "\n")
		}
		return names.String()
	case "@cut":
		var length int64
		_, err := fmt.Sscan(words[2], &length)
		require.NoError(f.t, err)
		info, err := os.Stat(path)
		require.NoError(f.t, err)
		require.NoError(f.t, os.Truncate(path, info.Size()-length))
		return ""
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return "no such file\n"
	}
	switch words[0] {
	case "@sum":
		return fmt.Sprintf("%d bytes, %x\n", len(text), sha256.Sum256(text))[:64] + "\n"
	case "@page":
		return pageText(string(text))
	}
	return strings.TrimSuffix(string(text), "\n") + "\n"
}

var unseen = regexp.MustCompile(`(?s)<(style|script)\b.*?</(style|script)>|<[^>]*>`)

// pageText is what stands on a page, without its pictures' lines.
func pageText(html string) string {
	var lines []string
	for line := range strings.Lines(unseen.ReplaceAllString(html, "\n")) {
		if line = strings.TrimSpace(line); line != "" {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

// What differs from run to run, and what stands for it.
var passing = sync.OnceValue(func() [][2]any {
	list := [][2]string{
		{`\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?`, "DATE-TIME"},
		{`\b20\d\d-\d\d-\d\d( \d\d:\d\d)?\b`, "DATE"},
		{`\b([A-Z][a-z]+day, )?\d{1,2} (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)[a-z]* 20\d\d`, "DAY"},
		{`\b\d\d:\d\d:\d\d([.:]\d+)?\b`, "TIME"},
		{`room on the disk for .*`, "room on the disk for LONG"},
		{`"time_reference":\d+`, `"time_reference":N`},
	}
	var compiled [][2]any
	for _, p := range list {
		compiled = append(compiled, [2]any{regexp.MustCompile(p[0]), p[1]})
	}
	return compiled
})

// steady replaces what differs from run to run.
func (f frozen) steady(text string) string {
	text = strings.ReplaceAll(broken(text), f.dir, "DIR")
	for _, p := range passing() {
		text = p[0].(*regexp.Regexp).ReplaceAllString(text, p[1].(string))
	}
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	return text
}

// broken cuts lines of JSON at their commas, down to the elements of a list in
// a file's object, so that one figure's change is one line's.
func broken(text string) string {
	var out strings.Builder
	depth, quoted, isJSON := 0, false, false
	for i, c := range text {
		if i == 0 || text[i-1] == '\n' {
			depth, quoted, isJSON = 0, false, c == '{'
		}
		out.WriteRune(c)
		switch {
		case !isJSON:
		case c == '"' && text[i-1] != '\\':
			quoted = !quoted
		case quoted:
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			depth--
		case c == ',' && depth <= 4:
			out.WriteString("\n" + strings.Repeat(" ", depth))
		}
	}
	return out.String()
}

// split cuts a line at spaces, but not within double quotes.
func split(line string) (words []string) {
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			words = append(words, part)
			continue
		}
		words = append(words, strings.Fields(part)...)
	}
	return words
}
