//go:build unix

package quiet_test

import (
	"bytes"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"rollready/capture/quiet"
)

const logVariable = "QUIET_TEST_LOG"

// TestMain is the child process too: it chatters like a C library, says
// something of its own, and panics.
func TestMain(m *testing.M) {
	path, isChild := os.LookupEnv(logVariable)
	if !isChild {
		os.Exit(m.Run())
	}
	if err := quiet.Stderr(path); err != nil {
		fmt.Fprintln(os.Stderr, "refused:", err)
		os.Exit(2)
	}
	for range 3 {
		runtime.GC() // a collected os.Stderr would close the descriptor
	}
	_, _ = unix.Write(2, []byte("chatter of a library\n"))
	log.Print("chatter of a Go library")
	fmt.Fprintln(os.Stderr, "our own word")
	panic("our own panic")
}

func child(t *testing.T, logPath string) string {
	t.Helper()
	var stderr bytes.Buffer
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), logVariable+"="+logPath)
	cmd.Stderr = &stderr
	require.Error(t, cmd.Run(), "the child panics")
	return stderr.String()
}

func TestChatterGoesToTheFileAndOurWordsToTheUser(t *testing.T) {
	path := filepath.Join(t.TempDir(), "libraries.log")
	require.NoError(t, os.WriteFile(path, []byte("of the last run\n"), 0o600))
	said := child(t, path)
	require.Contains(t, said, "our own word\n")
	require.Contains(t, said, "panic: our own panic")
	require.Contains(t, said, "goroutine 1")
	require.NotContains(t, said, "chatter")
	logged, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(logged), "chatter of a library\n")
	require.Contains(t, string(logged), "chatter of a Go library\n")
	require.NotContains(t, string(logged), "last run")
}

func TestChatterIsThrownAwayWithoutAFile(t *testing.T) {
	said := child(t, "")
	require.Contains(t, said, "our own word\n")
	require.NotContains(t, said, "chatter")
}

func TestNothingChangesWhereTheFileCannotBe(t *testing.T) {
	said := child(t, filepath.Join(t.TempDir(), "no", "such", "place"))
	require.Contains(t, said, "refused: open the file for library messages")
}
