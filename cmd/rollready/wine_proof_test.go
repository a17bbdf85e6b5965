//go:build proof && linux

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// wineProgram and what stops all that it started in one prefix.
const (
	wineProgram = "/usr/lib/wine/wine64"
	wineServer  = "/usr/lib/wine/wineserver64"
)

// Go asks Windows for random numbers through a library that Debian 12's Wine
// lacks: this is it, over the older call.
const prng = `#include <windows.h>
#include <ntsecapi.h>
__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE data, SIZE_T length) { return RtlGenRandom(data, (ULONG)length); }
`

// windows is a Windows of the test's own, under Wine, with the program on it.
type windows struct {
	drive string // where its C: lies
	exe   string
	env   []string
}

func newWindows(t *testing.T) windows {
	t.Helper()
	soundtest.Need(t, wineProgram, "x86_64-w64-mingw32-gcc")
	dir := t.TempDir()
	w := windows{filepath.Join(dir, "prefix", "drive_c"), filepath.Join(dir, "rollready.exe"),
		[]string{"WINEPREFIX=" + filepath.Join(dir, "prefix"), "WINEDEBUG=-all", "WINEARCH=win64", "WINEDLLOVERRIDES=mscoree,mshtml,winemenubuilder.exe=d", "DISPLAY="}}
	build := exec.Command("go", "build", "-o", w.exe, ".")
	build.Env = append(os.Environ(), "GOOS=windows", "GOARCH=amd64", "CGO_ENABLED=1", "CC=x86_64-w64-mingw32-gcc")
	w.must(t, build)
	boot := exec.Command(wineProgram, "wineboot", "-u")
	boot.Env = append(os.Environ(), w.env...)
	w.must(t, boot)
	t.Cleanup(func() {
		for _, how := range []string{"-k", "-w"} { // end all of this prefix, wait until they have
			stop := exec.Command(wineServer, how)
			stop.Env = boot.Env
			_ = stop.Run() // says so where nothing runs any more
		}
	})
	shim := exec.Command("x86_64-w64-mingw32-gcc", "-shared", "-o", filepath.Join(w.drive, "windows", "system32", "bcryptprimitives.dll"), "-xc", "-", "-ladvapi32")
	shim.Stdin = strings.NewReader(prng)
	w.must(t, shim)
	return w
}

func (windows) must(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	require.NoError(t, cmd.Run(), "%v: %s", cmd.Args, &said)
}

// user is one on this Windows, with the sound system that the test has
// started, if any, and a configuration folder of its own.
func (w windows) user(t *testing.T) user {
	config := `C:\users\` + strings.NewReplacer("/", " ", "_", " ").Replace(t.Name())
	return user{t: t, config: config, env: append(os.Environ(), w.env...), starts: []string{wineProgram, w.exe}}
}

// at is where a path on C: lies for this test.
func (w windows) at(path string) string {
	return filepath.Join(w.drive, filepath.FromSlash(strings.ReplaceAll(strings.TrimPrefix(path, `C:\`), `\`, "/")))
}
