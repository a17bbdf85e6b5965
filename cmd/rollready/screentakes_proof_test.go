//go:build proof && unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a person sets about takes in Setup holds for the next take, and at the
// next start. A pattern spoilt in the file is said, and the usual names used.
func TestProofTakeNamesFromSetup(t *testing.T) {
	s := openScreen(newUser(t), 80, 24)
	s.start("--input", "demo")
	s.open("Setup")
	s.Press("Take names")
	s.WaitFor("▸ Take names", "1_003.wav")
	s.Keys("Enter")
	s.Instead("{scene}")
	s.WaitFor("put {take} into it, or takes get the same name")
	s.Instead("{scene} {take}")
	s.WaitFor("Takes are named like 1 003.wav")
	s.Keys("C-r")
	s.WaitFor("REC  1 take 1")
	s.Keys("C-r")
	s.WaitFor("Stop 1 take 1?")
	s.Keys("Enter")
	s.WaitFor("Recorded 1 take 1")
	s.quit()
	require.Equal(t, filepath.Join(s.takes, "1 001.wav"), s.listed()[0].Path)

	path := filepath.Join(s.config, "settings.toml")
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(raw), "names = '{scene} {take}'")
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(raw), "{scene} {take}", "{take}/{scene}", 1)), 0o644))
	s.start("--input", "demo")
	s.open("Setup")
	s.WaitFor("can't be part of a file name", "{scene}_{take}")
	s.quit()
}
