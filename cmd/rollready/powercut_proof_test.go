//go:build proof && linux

package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/soundtest"
	"rollready/capture/take"
	"rollready/capture/wavfile"
	"rollready/presets"
)

var cutCount = flag.Int("cuts", 20, "at how many moments of each command TestProofPowerCuts cuts the power")

// TestProofPowerCuts traces what commands do to the disk, and lays the folder
// out as a power cut at any moment would leave it, what was not synced being
// lost, there in part, or out of order: kept things are the old or the new,
// whole; takes are mended with at most a second lost.
func TestProofPowerCuts(t *testing.T) {
	soundtest.Need(t, "strace")
	for _, s := range powerScenes {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			u, dir := newUser(t), t.TempDir()
			s.before(t, u, dir)
			disk := newDisk(t, dir)
			ops := straced(t, dir, s.command(u, dir))
			tried := 0
			for k := 0; k <= len(ops); k++ {
				if k == len(ops) || len(ops) <= *cutCount || k*(*cutCount)/len(ops) != (k+1)*(*cutCount)/len(ops) {
					for _, c := range cuts {
						to := t.TempDir()
						disk.after(t, c, dir, to)
						require.NoError(t, s.check(to, written(ops[:k]), k == len(ops)), "after %d of %d: %s", k, len(ops), c.name)
						tried++
					}
				}
				if k < len(ops) {
					disk.do(ops[k])
				}
			}
			t.Logf("%d calls to the disk, %d power cuts", len(ops), tried)
		})
	}
}

// written is how many bytes of sound were written to takes.
func written(ops []diskOp) (bytes int64) {
	for _, op := range ops {
		if op.call == "write" && strings.HasSuffix(op.path, ".wav") {
			bytes = max(bytes, op.at+int64(len(op.data)))
		}
	}
	return bytes
}

// powerScene is a command, what was there before, and what must hold of the
// folder after a cut; ended tells that the command had come back before it.
type powerScene struct {
	name    string
	before  func(t *testing.T, u user, dir string)
	command func(u user, dir string) *exec.Cmd
	check   func(dir string, written int64, ended bool) error
}

func nothing(*testing.T, user, string) {}

// shelved has a preset "harbour wall" of +3 dB and a camera "b".
func shelved(t *testing.T, u user, dir string) {
	u.config = filepath.Join(dir, "config")
	u.ok("preset", "save", "harbour wall", "--gain", "3")
	u.ok("camera", "save", "b", "--offset", "-10")
}

func keep(words ...string) func(u user, dir string) *exec.Cmd {
	return func(u user, dir string) *exec.Cmd {
		u.config = filepath.Join(dir, "config")
		return u.command(words...)
	}
}

var powerScenes = []powerScene{
	{"first start", nothing, keep("preset", "list"), keptAs(nil)},
	{"preset saved", shelved, keep("preset", "save", "pier", "--gain", "5"), keptAs(map[string][]float64{"harbour wall": {3}, "pier": {none64, 5}})},
	{"preset replaced", shelved, keep("preset", "save", "harbour wall", "--gain", "5", "--replace"), keptAs(map[string][]float64{"harbour wall": {3, 5}})},
	{"preset renamed", shelved, keep("preset", "rename", "harbour wall", "quay"), keptOnce},
	{"preset deleted", shelved, keep("preset", "delete", "harbour wall"), keptAs(map[string][]float64{"harbour wall": {3, none64}})},
	{"camera saved", shelved, keep("camera", "save", "b", "--offset", "-4"), cameraKept},
	{"preset exported", shelved, func(u user, dir string) *exec.Cmd {
		u.config = filepath.Join(dir, "config")
		return u.command("preset", "export", "harbour wall", filepath.Join(dir, "out.toml"))
	}, func(dir string, _ int64, ended bool) error {
		return wholeFile(filepath.Join(dir, "out.toml"), "limit_dbtp", ended)
	}},
	{"take", counted, recorded("24"), takeKept},
	{"take with safety, float", counted, recorded("float", "--safety"), takeKept},
	{"sound report", someTake, func(u user, dir string) *exec.Cmd {
		return u.command("take", "report", "--takes", filepath.Join(dir, "takes"), "--html", filepath.Join(dir, "r.html"))
	}, pageKept},
	{"report", someTake, func(u user, dir string) *exec.Cmd {
		return u.command("report", filepath.Join(dir, "takes"), "--html", filepath.Join(dir, "r.html"))
	}, pageKept},
	{"process", counted, func(u user, dir string) *exec.Cmd {
		return u.command("process", filepath.Join(dir, "counting.wav"), filepath.Join(dir, "out.wav"), "--gain", "-3")
	}, func(dir string, _ int64, ended bool) error {
		r, err := wavfile.Open(filepath.Join(dir, "out.wav"))
		if os.IsNotExist(err) && !ended {
			return nil
		}
		if err != nil || r.Frames() != 20*48000 || r.Truncated() {
			return fmt.Errorf("the output is there in part: %v", err)
		}
		return r.Close()
	}},
}

const none64 = -999 // gain of a preset that is not there

// keptAs: each preset has one of the gains, and nothing had to be set aside.
func keptAs(gains map[string][]float64) func(dir string, _ int64, ended bool) error {
	return func(dir string, _ int64, ended bool) error {
		store, err := openKept(dir)
		if err != nil {
			return err
		}
		for name, allowed := range gains {
			got := gainOf(store, name)
			if last := allowed[len(allowed)-1]; ended && got != last {
				return fmt.Errorf("%s: %g after the command, not %g", name, got, last)
			}
			if got != allowed[0] && got != allowed[len(allowed)-1] {
				return fmt.Errorf("%s: %g, not one of %v", name, got, allowed)
			}
		}
		return nil
	}
}

func gainOf(store *presets.Store, name string) float64 {
	p, err := store.Presets.Load(name)
	if err != nil {
		return none64
	}
	return p.Chain().GainDB
}

// keptOnce: a renamed preset has at least one of its two names.
func keptOnce(dir string, _ int64, ended bool) error {
	store, err := openKept(dir)
	if err != nil {
		return err
	}
	old, renamed := gainOf(store, "harbour wall"), gainOf(store, "quay")
	if renamed != 3 && (old != 3 || ended) || ended && old != none64 {
		return fmt.Errorf("harbour wall %g, quay %g", old, renamed)
	}
	return nil
}

func cameraKept(dir string, _ int64, ended bool) error {
	store, err := openKept(dir)
	if err != nil {
		return err
	}
	c, err := store.Cameras.Load("b")
	if err != nil || c.Scale.OffsetDB != -4 && (c.Scale.OffsetDB != -10 || ended) {
		return fmt.Errorf("camera b reads %g: %v", c.Scale.OffsetDB, err)
	}
	return nil
}

// openKept opens a configuration in which nothing may be unreadable.
func openKept(dir string) (*presets.Store, error) {
	config := filepath.Join(dir, "config")
	store, err := presets.Open(config)
	if err != nil {
		return nil, err
	}
	if _, err := store.Settings(); err != nil {
		return nil, err
	}
	for _, pattern := range []string{"*unreadable*", "*/*unreadable*"} {
		if found, _ := filepath.Glob(filepath.Join(config, pattern)); len(found) > 0 {
			return nil, fmt.Errorf("set aside: %v", found)
		}
	}
	return store, nil
}

// counted puts the counting file into the folder.
func counted(t *testing.T, _ user, dir string) {
	raw, err := os.ReadFile(counting(t, 1))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "counting.wav"), raw, 0o644))
}

func recorded(encoding string, more ...string) func(u user, dir string) *exec.Cmd {
	return func(u user, dir string) *exec.Cmd {
		return u.command(append([]string{"take", "record", "--input", "file:" + filepath.Join(dir, "counting.wav"), "--takes", filepath.Join(dir, "takes"),
			"--scene", "7", "--note", "gulls", "--seconds", "4", "--encoding", encoding}, more...)...)
	}
}

func someTake(t *testing.T, u user, dir string) {
	counted(t, u, dir)
	r := u.run("take", "record", "--input", "file:"+filepath.Join(dir, "counting.wav"), "--takes", filepath.Join(dir, "takes"), "--seconds", "0.3")
	require.Zero(t, r.code, r.err)
}

// takeKept: of a take at most a second of what was written is lost, each frame
// left is the source's, and the sheet is not in the way. Where a disk keeps
// later writes and loses earlier ones, the last second has silence in it.
func takeKept(dir string, written int64, ended bool) error {
	path := filepath.Join(dir, "takes", "7_001.wav")
	v := victim{encoding: "24", channels: 1, holes: 52800}
	if _, err := os.Stat(path); err == nil {
		got := take.Recover(path)
		if got.Outcome == take.Hopeless {
			return fmt.Errorf("hopeless: %s", got.Text)
		}
		if got.Outcome != take.Empty {
			r, err := wavfile.Open(path)
			if err != nil {
				return err
			}
			v.safety = r.Format().Channels == 3
			r.Close()
			if err := v.mended(path); err != nil {
				return err
			}
			if err := v.equal(path); err != nil {
				return err
			}
		}
	}
	frameBytes := int64(6)
	if v.safety {
		frameBytes = 12
	}
	if lost := float64(written)/float64(frameBytes)/48000 - float64(v.frames)/48000; lost > 1.1 || ended && v.frames != 4*48000 {
		return fmt.Errorf("%.2f s lost, %d frames left", lost, v.frames)
	}
	if _, err := os.Stat(path); err == nil && v.frames > 0 {
		_, err = take.Load(path)
		return err
	}
	return nil
}

func pageKept(dir string, _ int64, ended bool) error {
	return wholeFile(filepath.Join(dir, "r.html"), "</html>", ended)
}

// wholeFile: a file is not there yet, or whole to its end.
func wholeFile(path, ends string, ended bool) error {
	text, err := os.ReadFile(path)
	if os.IsNotExist(err) && !ended {
		return nil
	}
	if !strings.Contains(string(text), ends) {
		return fmt.Errorf("%s: %d bytes, not whole: %v", filepath.Base(path), len(text), err)
	}
	return nil
}
