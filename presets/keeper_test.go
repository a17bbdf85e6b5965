package presets

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/dsp/chain"
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
	k := store.Keep(s, plainly)
	for i := 1; ; i++ {
		s.Strips.Set(0, chain.Settings{GainDB: float64(i%400)/10 - 20})
		k.Set(s)
		fmt.Println(s.Chain().GainDB)
		time.Sleep(10 * time.Millisecond)
	}
}

func TestKeepsWithinHalfASecond(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := open(t)
		settings, err := s.Settings()
		require.NoError(t, err)
		k := s.Keep(settings, plainly)
		defer k.Close()
		for n := range 5 {
			settings.Strips.Set(0, chain.Settings{GainDB: float64(n + 1)})
			k.Set(settings)
			time.Sleep(500 * time.Millisecond)
			synctest.Wait()
			got, err := read(s.settingsPath(), decodeSettings)
			require.NoError(t, err)
			require.Equal(t, settings, got)
		}
	})
}

func TestCloseKeepsTheLastChange(t *testing.T) {
	s := open(t)
	settings, err := s.Settings()
	require.NoError(t, err)
	k := s.Keep(settings, plainly)
	settings.Screen = "setup"
	k.Set(settings)
	require.NoError(t, k.Close())
	require.NoError(t, k.Close())
	got, err := s.Settings()
	require.NoError(t, err)
	require.Equal(t, settings, got)
}

func TestKeeperRecoversWhenTheDiskDoes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := open(t)
		settings, err := s.Settings()
		require.NoError(t, err)
		away := s.Dir() + "-away"
		require.NoError(t, os.Rename(s.Dir(), away))
		k := s.Keep(settings, plainly)
		defer k.Close()
		settings.Theme = "day"
		k.Set(settings)
		time.Sleep(500 * time.Millisecond)
		synctest.Wait()
		require.Error(t, k.Err())
		require.NoError(t, os.Rename(away, s.Dir()))
		time.Sleep(2 * retryDelay)
		synctest.Wait()
		require.NoError(t, k.Err())
		got, err := s.Settings()
		require.NoError(t, err)
		require.Equal(t, settings, got)
	})
}

func TestKilledAtAnyMoment(t *testing.T) { killedAtAnyMoment(t, 3) }

// killedAtAnyMoment kills a real program so many times while its gain is being
// turned, a hundred times a second: the file is whole, and what it holds was
// set no more than a hundred changes before.
func killedAtAnyMoment(t *testing.T, kills int) {
	worst := 0
	for n := range kills {
		dir := filepath.Join(t.TempDir(), "config")
		said := killAfter(t, dir, 40+n*37%160)
		store, err := Open(dir)
		require.NoError(t, err)
		got, err := store.Settings()
		require.NoError(t, err)
		kept := slices.Index(said, got.Chain().GainDB)
		if kept < 0 {
			require.Zero(t, got.Chain().GainDB, "neither set nor the first")
		}
		worst = max(worst, len(said)-1-kept)
		entries, err := filepath.Glob(filepath.Join(dir, "*unreadable*"))
		require.NoError(t, err)
		require.Empty(t, entries)
	}
	t.Logf("%d kills: at most %d changes lost", kills, worst)
	require.LessOrEqual(t, worst, 100)
}

// killAfter lets a child turn the gain so many times, kills it, and gives
// what it said.
func killAfter(t *testing.T, dir string, changes int) (said []float64) {
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
		if said = append(said, gain); len(said) == changes {
			require.NoError(t, child.Process.Kill())
		}
	}
	require.Error(t, child.Wait())
	require.NotEmpty(t, said)
	return said
}

// plainly starts a goroutine as any.
func plainly(f func()) { go f() }
