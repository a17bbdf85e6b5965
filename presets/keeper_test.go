package presets

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// childDir makes the test program play the part of a program being killed:
// it turns the gain and says each value.
const childDir = "ROLLREADY_TEST_KEEPER_DIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		turnGain(dir)
	}
	os.Exit(m.Run())
}

func turnGain(dir string) {
	store, err := Open(dir)
	if err != nil {
		panic(err)
	}
	s, _ := store.Settings()
	k := store.Keep(s, plain)
	for i := 1; ; i++ {
		s.Chain.GainDB = float64(i%400)/10 - 20
		k.Set(s)
		fmt.Println(s.Chain.GainDB)
		time.Sleep(10 * time.Millisecond)
	}
}

func TestKeepsWithinHalfASecond(t *testing.T) {
	s := open(t)
	settings, err := s.Settings()
	require.NoError(t, err)
	k := s.Keep(settings, plain)
	defer k.Close()
	best, quickest := time.Hour, time.Hour // of several, because the machine may be busy
	for n := range 5 {
		settings.Chain.GainDB = float64(n + 1)
		begun := time.Now()
		k.Set(settings)
		quickest = min(quickest, time.Since(begun))
		require.Eventually(t, func() bool {
			got, err := read(s.settingsPath(), decodeSettings)
			return err == nil && got == settings
		}, time.Minute, 5*time.Millisecond)
		best = min(best, time.Since(begun))
	}
	t.Logf("kept %v after a change", best)
	require.LessOrEqual(t, best, 500*time.Millisecond)
	require.Less(t, quickest, time.Millisecond, "Set does not wait for the disk")
}

func TestCloseKeepsTheLastChange(t *testing.T) {
	s := open(t)
	settings, err := s.Settings()
	require.NoError(t, err)
	k := s.Keep(settings, plain)
	settings.Screen = "setup"
	k.Set(settings)
	require.NoError(t, k.Close())
	require.NoError(t, k.Close())
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, settings, got)
}

func TestKeeperRecoversWhenTheDiskDoes(t *testing.T) {
	s := open(t)
	settings, err := s.Settings()
	require.NoError(t, err)
	away := s.Dir() + "-away"
	require.NoError(t, os.Rename(s.Dir(), away))
	k := s.Keep(settings, plain)
	defer k.Close()
	settings.Theme = "day"
	k.Set(settings)
	require.Eventually(t, func() bool { return k.Err() != nil }, time.Minute, 5*time.Millisecond)
	require.NoError(t, os.Rename(away, s.Dir()))
	require.Eventually(t, func() bool { return k.Err() == nil }, time.Minute, 5*time.Millisecond)
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, settings, got)
}

// A real program is killed while its gain is being turned: the file is whole,
// and holds what was set no longer than a second before.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 6
	if testing.Short() {
		kills = 3
	}
	late := 0 // where the machine was busy
	for n := range kills {
		dir := filepath.Join(t.TempDir(), "config")
		said, at := killAfter(t, dir, 1100*time.Millisecond+time.Duration(n)*37*time.Millisecond)
		store, err := Open(dir)
		require.NoError(t, err)
		got, err := store.Settings()
		require.NoError(t, err)
		kept := -1
		for i, gain := range said {
			if gain == got.Chain.GainDB {
				kept = i
			}
		}
		require.GreaterOrEqual(t, kept, 0, "the kept gain %g was never set", got.Chain.GainDB)
		lost := at[len(at)-1].Sub(at[min(kept+1, len(at)-1)])
		if lost > time.Second {
			late++
		}
		entries, err := filepath.Glob(filepath.Join(dir, "*unreadable*"))
		require.NoError(t, err)
		require.Empty(t, entries)
	}
	require.LessOrEqual(t, late, kills/3)
}

// killAfter lets a child turn the gain for so long after its first change,
// kills it, and gives what it said and when.
func killAfter(t *testing.T, dir string, run time.Duration) (said []float64, at []time.Time) {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childDir+"="+dir)
	out, err := child.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, child.Start())
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		gain, err := strconv.ParseFloat(lines.Text(), 64)
		require.NoError(t, err)
		said, at = append(said, gain), append(at, time.Now())
		if len(said) == 1 {
			time.AfterFunc(run, func() { _ = child.Process.Kill() })
		}
	}
	require.Error(t, child.Wait())
	require.NotEmpty(t, said)
	return said, at
}

// plain starts a goroutine as any.
func plain(f func()) { go f() }
