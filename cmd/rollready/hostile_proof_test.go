//go:build proof

package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/wavfile"
)

// hostileTexts are what a name or a note may hold by malice or accident.
var hostileTexts = map[string]string{
	"colour":         "a\x1b[31mred",
	"clipboard":      "a\x1b]52;c;cm0gLXJm\x07b",
	"title":          "a\x1b]0;owned\x1b\\b",
	"eight-bit CSI":  "a\u009b31mred",
	"line":           "a\nrollready: all good\nb",
	"return":         "a\rb",
	"backspace":      "abc\b\b\bxyz",
	"bell":           "a\ab",
	"tab":            "a\t=1",
	"bidi":           "a\u202egnp.exe\u2066b\u2069",
	"zero width":     "a\u200b\u200d\ufeffb",
	"separators":     "a\u2028b\u2029c\u0085d",
	"not UTF-8":      "a\xff\xfe\xc3(b",
	"formula":        "=cmd|' /C calc'!A0",
	"formula plus":   "+1+cmd|' /C calc'!A0",
	"formula minus":  "-1+cmd|' /C calc'!A0",
	"formula at":     "@SUM(1+1)*cmd|' /C calc'!A0",
	"quoted formula": "\"=1+1\",\"=2",
	"script":         "<script>alert(1)</script>",
	"handler":        "\"><img src=x onerror=alert(1)>",
	"entity":         "&lt;script&gt;&#60;b",
	"format":         "%s%n%x%!d(MISSING)",
	"path":           "../../etc/passwd",
	"long":           strings.Repeat("long name ", 400),
	"wide":           strings.Repeat("麦📷é", 60),
	"combining":      "a" + strings.Repeat("\u0301", 200),
	"toml":           "a'''\n[chain]\ngain_db = 40 #",
	"xml":            "]]></NOTE><NOTE>x<!--",
}

// printed is what one command said.
type printed struct {
	result
	what string
	args []string
}

// TestProofHostileText puts such texts wherever a name or a note goes, in our
// own things and in files of others, and reads all that every command prints.
func TestProofHostileText(t *testing.T) {
	outputs := 0
	for name, text := range hostileTexts {
		t.Run(name, func(t *testing.T) {
			for _, p := range printedOf(t, text) {
				harmless(t, p)
				outputs++
			}
		})
	}
	t.Logf("%d texts, %d outputs read", len(hostileTexts), outputs)
}

func printedOf(t *testing.T, text string) (all []printed) {
	u, dir := newUser(t), t.TempDir()
	do := func(args ...string) {
		all = append(all, printed{u.run(args...), fmt.Sprintf("%.60q", args), args})
	}
	good := tone(t, 1000, -20, 0.3, stereo48)
	for _, words := range [][]string{
		{"preset", "save", text, "--gain", "3", "--note", text}, {"preset", "list"}, {"preset", "show", text},
		{"preset", "save", "plain", "--gain", "3", "--note", text}, {"preset", "show", "plain"}, {"preset", "copy", "plain", text},
		{"preset", "export", "plain", filepath.Join(dir, "p.toml")}, {"preset", "delete", text}, {"preset", "undelete", text},
		{"camera", "save", text, "--cable", text}, {"camera", "list"}, {"camera", "show", text},
		{"camera", "save", "b", "--mic-level", text, "--cable", text, "--remind", text}, {"camera", "show", "b"},
		{"camera", "compare", "b", "camera"}, {"camera", "compare", "b", "camera", "--json"},
		{"watch", "--input", "file:" + good, "--fast", "--preset", text}, {"watch", "--input", text}, {"watch", "--channels", text},
		{"watch", "--gain", text}, {"watch", "--high-pass", text}, {text}, {"watch", text}, {"--" + text},
		{"lineup", "plan", "--output-level", "+4dBu", "--setting", text + "=2V"}, {"lineup", "plan", "--output-level", "+4dBu", "--setting", text + "=2V", "--json"},
		{"lineup", "tone", "--reads", "-14", "--camera", "b", "--mic-level", text, "--cable", text},
		{"take", "record", "--input", "file:" + good, "--takes", dir, "--seconds", "0.1", "--scene", text, "--note", text},
		{"take", "record", "--input", "file:" + good, "--takes", dir, "--seconds", "0.1", "--scene", "2", "--note", text, "--json"},
		{"take", "record", "--input", "file:" + good, "--takes", dir, "--pattern", text + "{take}", "--seconds", "0.1"},
	} {
		do(words...)
	}
	foreign := foreignFiles(t, text)
	path := filepath.Join(foreign, fileName(text)+".wav")
	for _, folder := range []string{dir, foreign} {
		do("take", "list", "--takes", folder)
		do("take", "list", "--takes", folder, "--json")
		do("take", "report", "--takes", folder, "--csv")
		do("take", "report", "--takes", folder, "--html", "-")
		do("take", "recover", folder)
		do("take", "recover", folder, "--json")
		do("report", folder)
		do("report", folder, "--csv")
		do("report", folder, "--json", "--html", filepath.Join(t.TempDir(), "page.html"))
	}
	page := filepath.Join(t.TempDir(), "page.html")
	do("report", path, "--html", page)
	if raw, err := os.ReadFile(page); err == nil {
		all = append(all, printed{result{out: string(raw)}, "page of report", []string{"--html", "-"}})
	}
	do("report", "--compare", path, good)
	do("check", path)
	do("check", path, "--json")
	do("watch", "--input", "file:"+path, "--fast", "--rate", "1")
	do("watch", "--input", "file:"+path, "--fast", "--rate", "1", "--json")
	do("process", path, filepath.Join(dir, fileName(text)+" out.wav"))
	do("lineup", "read", path)
	do("lineup", "read", filepath.Join(foreign, "torn "+fileName(text)+".wav"))
	return all
}

// fileName is a text as a name that a file can have.
func fileName(text string) string {
	text = strings.ReplaceAll(text, "/", "_")
	return text[:min(len(text), 200)]
}

// foreignFiles is a folder with a recording that has the text as its name and
// in all it says of itself, and with one that is torn.
func foreignFiles(t *testing.T, text string) string {
	dir := t.TempDir()
	meta := bwf.Meta{Scene: text, Take: text, Note: text, Tracks: []string{text}, Started: time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)}
	w, err := bwf.Create(filepath.Join(dir, fileName(text)+".wav"), capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM24, meta, nil)
	require.NoError(t, err)
	require.NoError(t, w.Write(make([]float32, 24000)))
	require.NoError(t, w.Close(meta, []bwf.Marker{{Frame: 100, Text: text}}))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "torn "+fileName(text)+".wav"), []byte("RIFF"), 0o644))
	return dir
}

// harmless holds what was said to what a terminal, a table, a page and a
// script may get.
func harmless(t *testing.T, p printed) {
	t.Helper()
	asked := " " + strings.Join(p.args, " ")
	for _, text := range []string{p.out, p.err} {
		at := strings.IndexFunc(text, func(r rune) bool { return r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) })
		if at >= 0 {
			t.Errorf("a control reaches the terminal: %s: %q", p.what, text[at:min(len(text), at+40)])
		}
	}
	require.LessOrEqual(t, strings.Count(p.err, "\n"), 20, "%s", p.what)
	require.NotContains(t, p.err, "goroutine", p.what)
	require.Contains(t, []int{0, 1, 2}, p.code, p.what)
	switch {
	case strings.Contains(asked, " --json"):
		for line := range strings.Lines(p.out) {
			require.True(t, json.Valid([]byte(line)), "%s: %.200s", p.what, line)
		}
	case strings.Contains(asked, " --csv"):
		harmlessTable(t, p)
	case strings.Contains(asked, " --html -"):
		require.NotContains(t, p.out, "<script>alert", p.what)
		require.NotContains(t, p.out, "<img src=x", p.what)
	}
}

// harmlessTable: no cell is one that a spreadsheet calculates.
func harmlessTable(t *testing.T, p printed) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(p.out)).ReadAll()
	require.NoError(t, err, p.what)
	for _, row := range rows {
		for _, cell := range row {
			if _, err := strconv.ParseFloat(cell, 64); cell != "" && err != nil {
				require.NotContains(t, "=+-@\t\r", cell[:1], "%s: %q", p.what, cell)
			}
		}
	}
}
