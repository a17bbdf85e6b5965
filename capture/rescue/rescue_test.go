package rescue

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// caseVariable makes the test binary be a program that panics.
const caseVariable = "ROLLREADY_TEST_CASE"

func TestMain(m *testing.M) {
	if name := os.Getenv(caseVariable); name != "" {
		program(name)
		return
	}
	os.Exit(m.Run())
}

func program(name string) {
	var r Rescue
	r.Add(func() error { os.Stdout.WriteString("closed\n"); return nil })
	switch name {
	case "step fails":
		r.Add(func() error { return errors.New("disk full") })
	case "step panics":
		r.Add(func() error { panic("again") })
	case "step hangs":
		r.Add(func() error { select {} })
	}
	for range 3 { // the first has the say
		r.Go(func() { panic("asked to") })
	}
	time.Sleep(time.Hour)
}

func TestAPanicEndsInOneLine(t *testing.T) {
	const closed, lacks = "; a take that rolled is closed\n", "; a take that rolled may lack its end, rollready take recover mends it\n"
	for name, took := range map[string]string{"all well": closed, "step fails": lacks, "step panics": lacks, "step hangs": lacks} {
		exe, err := os.Executable()
		require.NoError(t, err)
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), caseVariable+"="+name)
		var said strings.Builder
		cmd.Stderr = &said
		out, err := cmd.Output()
		require.Equal(t, exitCode, cmd.ProcessState.ExitCode(), "%s: %v", name, err)
		require.Equal(t, "closed\n", string(out), name)
		require.Regexp(t, `^rollready stopped by a mistake of its own: asked to \(rescue_test.go:\d+\); [^\n]+\n$`, said.String(), name)
		require.True(t, strings.HasSuffix(said.String(), took), "%s: %s", name, said.String())
	}
}

func TestTryMakesAnErrorOfAPanic(t *testing.T) {
	require.NoError(t, Try(func() error { return nil }))
	require.ErrorIs(t, Try(func() error { return fs.ErrExist }), fs.ErrExist)
	var none *Rescue
	require.Regexp(t, `nil pointer dereference \(rescue_test.go:\d+\)$`, Try(func() error { _ = none.steps; return nil }).Error())
}

// bare lists the files that may start a goroutine by themselves, and why.
var bare = map[string]string{
	"capture/rescue/rescue.go":                    "starts those of all others",
	"capture/device/limit.go":                     "Try makes an error of a panic",
	"capture/device/malgo.go":                     "frees a context, in C",
	"capture/pace/player.go":                      "Try makes an error of a panic",
	"capture/internal/soundserver/soundserver.go": "Try makes an error of a panic",
	"capture/offline/process.go":                  "of a command without screen or take",
	"tui/lines/progress.go":                       "of a command without screen or take",
	"tui/lines/check.go":                          "of a command without screen or take",
	"capture/soundtest/play.go":                   "of tests",
	"capture/soundtest/server.go":                 "of tests",
}

// Every goroutine of the running program passes through the rescue.
func TestGoroutinesAreStartedByTheRescue(t *testing.T) {
	root, files := filepath.Join("..", ".."), 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		files++
		name, _ := filepath.Rel(root, path)
		if bare[filepath.ToSlash(name)] != "" {
			return nil
		}
		set := token.NewFileSet()
		parsed, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			if g, is := n.(*ast.GoStmt); is {
				t.Errorf("%s: start it by the rescue's Go", set.Position(g.Pos()))
			}
			return true
		})
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, files, 300)
}
