package main

import (
	"bytes"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

func document(t *testing.T, name string) string {
	text, err := os.ReadFile(filepath.Join("../..", name))
	require.NoError(t, err)
	return string(text)
}

// everyCommand gives the commands by their path, "take record" for instance,
// groups left out.
func everyCommand() map[string]*cobra.Command {
	all := map[string]*cobra.Command{}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		if _, path, is := strings.Cut(c.CommandPath(), " "); is && !c.HasSubCommands() && !c.Hidden {
			all[path] = c
		}
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRoot(newApp(io.Discard, io.Discard)))
	return all
}

// The README's table of commands holds every command, and no other.
func TestReadmeTellsEveryCommand(t *testing.T) {
	told := map[string]bool{}
	for _, row := range regexp.MustCompile("(?m)^\\| (`rollready .*?) \\|").FindAllStringSubmatch(document(t, "README.md"), -1) {
		group := ""
		for _, word := range regexp.MustCompile("`([^`]*)`").FindAllStringSubmatch(row[1], -1) {
			words := strings.Fields(word[1])
			if words[0] == "rollready" {
				words, group = words[1:], ""
			}
			path := strings.TrimSpace(group + " " + commandWords(words))
			if group == "" {
				group, _, _ = strings.Cut(path, " ")
			}
			told[path] = true
		}
	}
	for path := range everyCommand() {
		require.True(t, told[path], "README's table leaves out: rollready %s", path)
	}
	for path := range told {
		require.NotNil(t, everyCommand()[path], "README tells of: rollready %s", path)
	}
}

// commandWords are those of a command line that name the command.
func commandWords(words []string) string {
	var path []string
	for _, w := range words {
		if strings.ToLower(w) != w || strings.ContainsAny(w, "-[…\"") {
			break
		}
		path = append(path, w)
	}
	return strings.Join(path, " ")
}

// Every flag that the documents name is one that a command has.
func TestDocumentsNameOnlyFlagsThatAre(t *testing.T) {
	known := map[string]bool{"help": true}
	root := newRoot(newApp(io.Discard, io.Discard))
	note := func(f *pflag.Flag) { known[f.Name] = true }
	root.Flags().VisitAll(note)
	root.PersistentFlags().VisitAll(note)
	for _, c := range everyCommand() {
		c.Flags().VisitAll(note)
	}
	for _, flag := range regexp.MustCompile("`?--([a-z][a-z-]*)").FindAllStringSubmatch(document(t, "README.md"), -1) {
		require.True(t, known[flag[1]], "README names --%s", flag[1])
	}
}

// Every example line of the README, and of the commands' own help, is one that
// the program would take.
func TestExamplesAreUnderstood(t *testing.T) {
	var lines []string
	for line := range strings.Lines(document(t, "README.md")) {
		if command, is := strings.CutPrefix(line, "    rollready "); is {
			lines = append(lines, command)
		}
	}
	require.NotEmpty(t, lines)
	for _, c := range everyCommand() {
		for line := range strings.Lines(c.Example) {
			lines = append(lines, strings.TrimPrefix(strings.TrimSpace(line), "rollready "))
		}
	}
	for _, line := range lines {
		t.Run(line, func(t *testing.T) {
			line, _, _ = strings.Cut(strings.TrimSpace(line), " > ")
			line, _, _ = strings.Cut(line, "  ")
			root := newRoot(newApp(io.Discard, io.Discard))
			c, rest, err := root.Find(split(line))
			require.NoError(t, err)
			require.NoError(t, c.ParseFlags(rest))
			require.NoError(t, c.ValidateArgs(c.Flags().Args()))
		})
	}
}

// packages gives the folders of the project's packages, each with its doc's
// first sentence and the file that holds it.
func packages(t *testing.T) (synopsis, file map[string]string) {
	synopsis, file = map[string]string{}, map[string]string{}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != root {
			return fs.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.PackageClauseOnly|parser.ParseComments)
		require.NoError(t, err)
		dir, err := filepath.Rel(root, filepath.Dir(path))
		require.NoError(t, err)
		if dir = filepath.ToSlash(dir); parsed.Doc != nil {
			synopsis[dir], file[dir] = new(doc.Package).Synopsis(parsed.Doc.Text()), filepath.Base(path)
		} else if _, known := synopsis[dir]; !known {
			synopsis[dir] = ""
		}
		return nil
	}))
	return synopsis, file
}

// The doc of a package stands where one looks for it.
func TestPackageDocsStandInTheirPlace(t *testing.T) {
	_, files := packages(t)
	for dir, file := range files {
		require.Contains(t, []string{"doc.go", "main.go", filepath.Base(dir) + ".go"}, file, dir)
	}
}

const treeMark = "```tree\n"

// The tree of folders in DEVELOPERS.md has one line per package, which is its
// doc's first sentence, up to a colon. UPDATE_GOLDEN=1 writes it anew in the order it has.
func TestTreeIsThatOfTheFolders(t *testing.T) {
	text := document(t, "DEVELOPERS.md")
	before, rest, found := strings.Cut(text, treeMark)
	require.True(t, found)
	tree, after, found := strings.Cut(rest, "```\n")
	require.True(t, found)
	said, _ := packages(t)
	want := treeOf(t, strings.Split(tree, "\n"), said)
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile("../../DEVELOPERS.md", []byte(before+treeMark+want+"```\n"+after), 0o644))
		return
	}
	if tree != want {
		t.Errorf("UPDATE_GOLDEN=1 writes the tree of DEVELOPERS.md anew:\n%s", difference(tree, want))
	}
}

// treeOf keeps the order of the lines there are and puts new packages behind
// the one that comes before them by name.
func treeOf(t *testing.T, lines []string, said map[string]string) string {
	var order []string
	for _, line := range lines {
		if words := strings.Fields(line); len(words) > 0 && said[words[0]] != "" {
			order = append(order, words[0])
		}
	}
	for _, dir := range slices.Sorted(maps.Keys(said)) {
		require.NotEmpty(t, said[dir], "%s: a package needs a doc comment", dir)
		if slices.Contains(order, dir) {
			continue
		}
		at := 0
		for i, other := range order {
			if other < dir && (at == 0 || other > order[at-1]) {
				at = i + 1
			}
		}
		order = slices.Insert(order, at, dir)
	}
	var out strings.Builder
	for _, dir := range order {
		sentence := regexp.MustCompile(`^(Package|Command) \S+ `).ReplaceAllString(said[dir], "")
		sentence, _, _ = strings.Cut(sentence, ":")
		out.WriteString(dir + strings.Repeat(" ", max(2, 32-len(dir))) + strings.TrimSuffix(sentence, ".") + "\n")
	}
	return out.String()
}

// A word of the glossary is told once, and the Go name beside it is there.
func TestGlossaryNamesWhatIs(t *testing.T) {
	_, section, found := strings.Cut(document(t, "DEVELOPERS.md"), "\n## Words\n")
	require.True(t, found)
	section, _, _ = strings.Cut(section, "\n## ")
	words := map[string]bool{}
	for _, row := range regexp.MustCompile(`(?m)^\| ([^|]+) \| [^|]+ \| ([^|]*) \|$`).FindAllStringSubmatch(section, -1) {
		if row[1] == "word" {
			continue
		}
		require.False(t, words[row[1]], "%s twice", row[1])
		words[row[1]] = true
		for _, name := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[2], -1) {
			require.True(t, declared(t, name[1]), "%s: %s is not there", row[1], name[1])
		}
	}
	require.Greater(t, len(words), 15)
}

// declared looks for an exported name, written as "dsp/chain.Settings".
func declared(t *testing.T, name string) bool {
	at := strings.LastIndex(name, "/")
	dot := strings.Index(name[at+1:], ".")
	if dot < 0 {
		_, err := os.Stat(filepath.Join("../..", name))
		return err == nil
	}
	dir, ident := name[:at+1+dot], name[at+2+dot:]
	files, err := filepath.Glob(filepath.Join("../..", dir, "*.go"))
	require.NoError(t, err)
	for _, file := range files {
		parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range parsed.Decls {
			if declares(d, ident) {
				return true
			}
		}
	}
	return false
}

func declares(d ast.Decl, ident string) bool {
	if f, is := d.(*ast.FuncDecl); is {
		return f.Recv == nil && f.Name.Name == ident
	}
	for _, spec := range d.(*ast.GenDecl).Specs {
		switch s := spec.(type) {
		case *ast.TypeSpec:
			if s.Name.Name == ident {
				return true
			}
		case *ast.ValueSpec:
			for _, name := range s.Names {
				if name.Name == ident {
					return true
				}
			}
		}
	}
	return false
}

// A test under the tag proof is named so, and no other is: CI runs them by
// their names, after the others.
func TestNamesOfProofs(t *testing.T) {
	found := 0
	require.NoError(t, filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		proof := strings.HasSuffix(path, "_proof_test.go")
		require.Equal(t, proof, bytes.HasPrefix(text, []byte("//go:build proof")), "%s: the tag proof and the name _proof_test.go go together", path)
		for _, name := range regexp.MustCompile(`(?m)^func (Test\w+)\(t `).FindAllSubmatch(text, -1) {
			require.Equal(t, proof, bytes.HasPrefix(name[1], []byte("TestProof")), "%s: %s", path, name[1])
			found++
		}
		return nil
	}))
	require.Greater(t, found, 100)
}
