//go:build proof && linux

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
)

// TestProofDebianPackage packs the program as a release does, unpacks it, and
// runs what is in it.
func TestProofDebianPackage(t *testing.T) {
	soundtest.Need(t, "dpkg")
	dir := t.TempDir()
	extras, root := filepath.Join(dir, "extras"), filepath.Join(dir, "root")
	newUser(t).ok("manual", extras)
	said := func(name string, args ...string) string {
		out, err := exec.Command(name, args...).CombinedOutput()
		require.NoError(t, err, "%s %v: %s", name, args, out)
		return string(out)
	}
	said("../release/debian", binary, "amd64", "1.2.3", extras, dir)
	file := filepath.Join(dir, "rollready_1.2.3_amd64.deb")
	fields := said("dpkg", "--field", file)
	require.Contains(t, fields, "Package: rollready\n")
	require.Contains(t, fields, "Version: 1.2.3\n")
	require.Contains(t, fields, "Depends: libc6\n")
	said("dpkg", "-x", file, root)
	for _, path := range []string{"man/man1/rollready-take-record.1.gz", "man/man7/rollready-line-up.7.gz", "bash-completion/completions/rollready",
		"zsh/vendor-completions/_rollready", "fish/vendor_completions.d/rollready.fish", "applications/rollready.desktop", "doc/rollready/copyright"} {
		require.FileExists(t, filepath.Join(root, "usr/share", path))
	}
	u := newUser(t)
	u.starts = []string{filepath.Join(root, "usr/bin/rollready")}
	require.Equal(t, newUser(t).ok("version"), u.ok("version"))
	require.NotEmpty(t, u.ok("watch", "--input", "demo", "--seconds", "1"))
	// A shell asks the program what can follow.
	completed := exec.Command("bash", "-c", `. "$0"; PATH="$1:$PATH"; rollready __complete take re 2>/dev/null`,
		filepath.Join(root, "usr/share/bash-completion/completions/rollready"), filepath.Join(root, "usr/bin"))
	completed.Env = os.Environ()
	out, err := completed.Output()
	require.NoError(t, err)
	require.Contains(t, string(out), "record")
	require.Contains(t, string(out), "recover")
}
