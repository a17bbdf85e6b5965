//go:build proof && linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/capture/wavfile"
)

// needMount runs a test only where file systems can be mounted: as root.
func needMount(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can mount a file system")
	}
}

// smallDisk is a folder on a disk of so many megabytes in memory.
func smallDisk(t *testing.T, megabytes int) string {
	needMount(t)
	dir := t.TempDir()
	require.NoError(t, syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dm", megabytes)))
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// recordTo is a running take record; it ends by the signal to interrupt.
func recordTo(t *testing.T, u user, dir, source string, more ...string) (cmd *exec.Cmd, said *strings.Builder) {
	t.Helper()
	cmd, said = u.command(append([]string{"take", "record", "--input", "file:" + source, "--takes", dir, "--scene", "7", "--encoding", "float"}, more...)...), &strings.Builder{}
	cmd.Stderr = said
	require.NoError(t, cmd.Start())
	return cmd, said
}

// A disk that fills up ends the take, which is whole to its last frame.
func TestProofFullDisk(t *testing.T) {
	dir, v := smallDisk(t, 9), victim{channels: 2}
	v.dir = dir
	cmd, said := recordTo(t, newUser(t), dir, counting(t, 2), "--safety")
	require.Error(t, cmd.Wait())
	require.Contains(t, said.String(), "recording stopped: disk full")
	v.safety = true
	v.whole(t)
	t.Logf("%.1f s on a disk of 9 MB: %s", float64(v.frames)/48000, strings.TrimSpace(said.String()))
}

// A folder that can only be read, for every command that writes: one line.
func TestProofReadOnlyFolder(t *testing.T) {
	dir, u := smallDisk(t, 40), newUser(t)
	source := counting(t, 1)
	require.NoError(t, syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	for _, words := range [][]string{
		{"take", "record", "--input", "file:" + source, "--takes", dir, "--seconds", "1"},
		{"process", source, filepath.Join(dir, "out.wav")},
		{"preset", "export", "flat", filepath.Join(dir, "out.toml")},
		{"report", source, "--html", filepath.Join(dir, "out.html")},
		{"lineup", "send", "--to", filepath.Join(dir, "out.wav")},
		{"take", "report", "--takes", filepath.Dir(source), "--html", filepath.Join(dir, "out.html")},
	} {
		r := u.run(words...)
		require.Equal(t, 2, r.code, "%v: %s", words, r.err)
		require.Contains(t, r.err, "read-only file system", "%v", words)
		require.Equal(t, 1, strings.Count(r.err, "\n"), "%v: %s", words, r.err)
	}
	u.config = dir
	for _, words := range [][]string{{"preset", "save", "x", "--gain", "1"}, {"camera", "save", "x"}} {
		r := u.run(words...)
		require.Equal(t, 2, r.code, "%v: %s", words, r.err)
		require.Contains(t, r.err, "read-only file system", "%v", words)
	}
	require.Zero(t, u.run("watch", "--input", "file:"+source, "--fast").code, "what needs no writing works")
}

// The folder goes away under a take: it ends, and says so.
func TestProofFolderTakenAway(t *testing.T) {
	source := counting(t, 2)
	for name, away := range map[string]func(dir string) error{
		"removed": os.RemoveAll,
		"renamed": func(dir string) error { return os.Rename(dir, dir+" old") },
		"a link in its place": func(dir string) error {
			if err := os.Rename(dir, dir+" old"); err != nil {
				return err
			}
			return os.Symlink(t.TempDir(), dir)
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := filepath.Join(t.TempDir(), "takes")
			cmd, said := recordTo(t, newUser(t), dir, source)
			eventually(t, "a second of sound", func() bool {
				info, err := os.Stat(filepath.Join(dir, "7_001.wav"))
				return err == nil && info.Size() > 48000*16
			})
			require.NoError(t, away(dir))
			require.Error(t, cmd.Wait())
			require.Contains(t, said.String(), "moved or removed")
			if name != "removed" {
				v := victim{channels: 2, dir: dir + " old"}
				require.NoError(t, v.mended(filepath.Join(v.dir, "7_001.wav")))
				require.NoError(t, v.equal(filepath.Join(v.dir, "7_001.wav")))
				require.Greater(t, v.frames, int64(47000))
			}
		})
	}
}

// A disk that answers nothing for thirty seconds: the take goes on, what was
// lost meanwhile is silence of the same length, and is said.
func TestProofStallingDisk(t *testing.T) {
	needMount(t)
	folder := t.TempDir()
	image, dir := filepath.Join(folder, "disk"), filepath.Join(folder, "at")
	require.NoError(t, os.Mkdir(dir, 0o755))
	require.NoError(t, os.WriteFile(image, nil, 0o600))
	require.NoError(t, os.Truncate(image, 128<<20))
	for _, words := range [][]string{{"mkfs.ext4", "-q", image}, {"mount", "-o", "loop", image, dir}} {
		if out, err := exec.Command(words[0], words[1:]...).CombinedOutput(); err != nil {
			t.Skipf("%v: %s", words, out)
		}
	}
	t.Cleanup(func() { _ = exec.Command("umount", dir).Run() })
	cmd, said := recordTo(t, newUser(t), dir, longCounting(t), "--json")
	var out strings.Builder
	cmd.Stdout = &out
	path := filepath.Join(dir, "7_001.wav")
	eventually(t, "two seconds of sound", func() bool {
		info, err := os.Stat(path)
		return err == nil && info.Size() > 2*48000*8
	})
	require.NoError(t, exec.Command("fsfreeze", "-f", dir).Run())
	thaw := time.AfterFunc(30*time.Second, func() { _ = exec.Command("fsfreeze", "-u", dir).Run() })
	defer thaw.Stop()
	time.Sleep(34 * time.Second)
	require.NoError(t, cmd.Process.Signal(os.Interrupt))
	_ = cmd.Wait()
	takes := objects[take.Listing](t, newUser(t).ok("take", "list", "--takes", dir, "--json"))[0].Takes
	require.Len(t, takes, 1)
	t.Logf("%.1f s long, %d frames lost and told; %s", float64(takes[0].Length), takes[0].Lag, said)
	require.Greater(t, float64(takes[0].Length), 34.0, "the take keeps its time")
	require.Less(t, takes[0].Lag, int64(25*48000), "what the buffer holds is not lost")
	frames, channels := readAllFrames(t, path)
	lost := 0
	for i := 0; i < len(frames); i += channels {
		if silent(frames[i : i+channels]) {
			lost++
		}
	}
	require.InDelta(t, takes[0].Lag, lost, 48000*0.1, "as much silence as was told")
}

func longCounting(t *testing.T) string {
	short := counting(t, 1)
	frames, _ := readAllFrames(t, short)
	return put(t, t.TempDir(), "long.wav", append(append(append([]float32(nil), frames...), frames...), frames...), capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM24)
}

// Several programs on one folder of takes and one configuration: each take has
// a number of its own and is whole; each preset is there.
func TestProofSeveralPrograms(t *testing.T) {
	u, dir, source := newUser(t), t.TempDir(), counting(t, 2)
	var wait sync.WaitGroup
	for n := range 6 {
		wait.Go(func() {
			for k := range 3 {
				r := u.run("take", "record", "--input", "file:"+source, "--takes", dir, "--scene", "7", "--seconds", "0.5")
				if r.code != 0 {
					t.Errorf("take: %s", r.err)
				}
				if r := u.run("preset", "save", fmt.Sprintf("p%d%d", n, k), "--gain", "3"); r.code != 0 || r.err != "" {
					t.Errorf("preset: %s", r.err)
				}
			}
		})
	}
	wait.Wait()
	paths, err := filepath.Glob(filepath.Join(dir, "*.wav"))
	require.NoError(t, err)
	require.Len(t, paths, 18)
	for _, path := range paths {
		v := victim{channels: 2, dir: dir}
		require.NoError(t, v.mended(path))
		require.NoError(t, v.equal(path))
		require.Equal(t, int64(24000), v.frames)
	}
	require.Equal(t, 18, strings.Count(u.ok("preset", "list"), "p"))
}
