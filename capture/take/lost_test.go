//go:build linux

package take

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/take/internal/foreign"
)

const victimDir = "ROLLREADY_TEST_VICTIM"

func TestMain(m *testing.M) {
	if dir := os.Getenv(victimDir); dir != "" {
		victim(dir)
		return
	}
	os.Exit(m.Run())
}

// victim records as fast as the disk lets it and says after each block, on
// its own clock, how many frames it has been given.
func victim(dir string) {
	now := noon
	r, err := newRecorder(Config{Dir: dir, Format: capture.Format{RateHz: rate, Channels: 2}, PreRoll: -1,
		Now: func() time.Time { return now }})
	if err == nil {
		_, err = r.Roll(What{Scene: "9"})
	}
	if err != nil {
		fmt.Println("failed", err)
		return
	}
	block := make([]float32, 2*blockFrames)
	for n := 1; ; n++ {
		for i := range block {
			block[i] = float32(n%1000) / 1000
		}
		now = now.Add(10 * time.Millisecond)
		r.Feed(block, block)
		fmt.Println(n * blockFrames)
		if n%4 == 0 {
			r.step(now)
		}
		if n%50 == 0 {
			r.Mark("half a second")
		}
	}
}

func TestKilledAtAnyMoment(t *testing.T) { killedAtAnyMoment(t, 8) }

// killedAtAnyMoment kills so many recordings at random moments: each opens in
// a foreign reader as it lies there, with at most a second missing, and,
// mended, with at most what the recorder had not yet written.
func killedAtAnyMoment(t *testing.T, kills int) {
	root := t.TempDir()
	fed := make([]int64, kills)
	var wait sync.WaitGroup
	for worker := range 4 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for n := worker; n < kills; n += 4 {
				fed[n] = killOne(t, filepath.Join(root, strconv.Itoa(n)))
			}
		}()
	}
	wait.Wait()
	require.False(t, t.Failed())
	paths := make([]string, kills)
	for n := range paths {
		paths[n] = filepath.Join(root, strconv.Itoa(n), "9_001.wav")
	}
	worst := checkAll(t, paths, fed, rate)
	for _, path := range paths {
		r := Recover(path)
		require.Equal(t, MendedIt, r.Outcome, r.Text)
		got, err := Load(path)
		require.NoError(t, err)
		require.Equal(t, Mended, got.State)
		require.Equal(t, r.Frames, got.Frames)
	}
	mended := checkAll(t, paths, fed, rate/4)
	t.Logf("%d kills: at most %.3f s missing, %.3f s after mending", kills, float64(worst)/rate, float64(mended)/rate)
}

// killOne kills a victim at a random moment and gives the frames it had been
// given. A block that was said but not read, or fed but not said, is one of
// those under way.
func killOne(t *testing.T, dir string) int64 {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), victimDir+"="+dir)
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Error(err)
		return 0
	}
	lines := bufio.NewReader(out)
	first, err := lines.ReadString('\n')
	if err != nil || strings.HasPrefix(first, "failed") {
		t.Error("the victim did not begin: ", first, err)
	}
	time.AfterFunc(time.Duration(rand.IntN(250_000))*time.Microsecond, func() { _ = c.Process.Kill() })
	rest, _ := io.ReadAll(lines)
	_ = c.Wait()
	all := strings.Fields(first + string(rest))
	if !strings.HasSuffix(first+string(rest), "\n") {
		all = all[:len(all)-1] // the last was cut short
	}
	n, err := strconv.ParseInt(all[len(all)-1], 10, 64)
	if err != nil {
		t.Error(err)
	}
	return n
}

// checkAll opens files with libsndfile and gives the most frames missing.
func checkAll(t *testing.T, paths []string, fed []int64, allowed int64) (worst int64) {
	t.Helper()
	for n, o := range foreign.Open(t, paths...) {
		if fed[n] > allowed { // below that nothing may be there yet
			require.Empty(t, o.Error, paths[n])
		}
		missing := fed[n] - o.Frames
		require.LessOrEqual(t, missing, allowed, paths[n])
		worst = max(worst, missing)
	}
	return worst
}

func TestCopiedAtAnyMoment(t *testing.T) { copiedAtAnyMoment(t, 40) }

// copiedAtAnyMoment makes copies of a file while its take rolls.
func copiedAtAnyMoment(t *testing.T, copies int) {
	g := newRig(t, Config{PreRoll: -1})
	got := g.roll(What{Scene: "4"})
	dir := t.TempDir()
	copied := make(chan struct{})
	var paths []string
	var sizes []int64 // of the file as each copy began
	go func() {
		defer close(copied)
		for n := range copies {
			path := filepath.Join(dir, strconv.Itoa(n)+".wav")
			stat, err := os.Stat(got.Path)
			if err != nil {
				t.Error(err)
				return
			}
			sizes = append(sizes, stat.Size())
			if raw, err := os.ReadFile(got.Path); err != nil || os.WriteFile(path, raw, 0o644) != nil {
				t.Error("copy failed", err)
			}
			paths = append(paths, path)
			time.Sleep(time.Duration(rand.IntN(3000)) * time.Microsecond)
		}
	}()
	for done := false; !done; {
		select {
		case <-copied:
			done = true
		default:
			if g.r.Status().Elapsed < 20*time.Second {
				g.play(0.04)
			} else {
				time.Sleep(time.Millisecond)
			}
		}
	}
	whole := g.stop()
	for n, o := range foreign.Open(t, paths...) {
		there := (sizes[n] - 7000) / 12
		if there > rate {
			require.Empty(t, o.Error)
		}
		require.LessOrEqual(t, there-o.Frames, int64(rate), paths[n])
		if o.Frames > 0 {
			require.LessOrEqual(t, o.Frames, whole.Frames)
		}
	}
}

// A real file system of 12 MB that fills up under the take. It needs the
// right to mount; without it the injected disks stand in.
func TestSmallFileSystemFillsUp(t *testing.T) {
	dir := t.TempDir()
	if err := mountSmall(dir); err != nil {
		t.Skipf("can't mount a small file system here (%v); TestStopsBeforeTheDiskIsFull and TestFailingDisk… stand in", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, 0) })
	for _, reserve := range []bool{true, false} {
		c := Config{Dir: dir, PreRoll: -1, DiskFree: DiskFree}
		if !reserve { // nobody warns: the disk itself says that it is full
			c.DiskFree = func(string) (int64, error) { return 1 << 40, nil }
		}
		g := newRig(t, c)
		got := g.roll(What{Scene: "4"})
		for n := 0; n < 600 && g.r.Status().Rolling; n++ {
			g.play(0.2)
		}
		s := g.r.Status()
		require.False(t, s.Rolling)
		if reserve {
			require.ErrorContains(t, s.Problem, "recording stopped: disk full; 0:")
		} else {
			require.ErrorContains(t, s.Problem, "no space left on device")
		}
		o := foreign.Open(t, got.Path)[0]
		require.Empty(t, o.Error)
		require.Equal(t, s.Take.Frames, o.Frames)
		samples := foreign.Samples(t, got.Path, "0", "-1")
		within(t, g.tracks(0, o.Frames, true, false), samples, half24)
		t.Logf("reserve %v: %s; %d frames kept", reserve, s.Problem, o.Frames)
		g.play(1)
		r := Recover(got.Path)
		require.Equal(t, s.Take.Frames, r.Frames)
		require.Contains(t, []Outcome{Whole, MendedIt}, r.Outcome, "without a byte left its sheet can't say that it ended")
		require.Zero(t, r.Gained)
	}
}

// unsynced is a disk that needs no sync.
type unsynced struct{ bwf.File }

func (unsynced) Sync() error { return nil }

func TestMinutesInFlatMemory(t *testing.T) { flatMemory(t, 2) }

// flatMemory records so many minutes of sound: the memory in use does not
// grow, and the file is right.
func flatMemory(t *testing.T, minutes int) {
	g := newRig(t, Config{Format: capture.Format{RateHz: rate, Channels: 1}, OpenFile: func(path string) (bwf.File, error) {
		f, err := bwf.Open(path)
		return unsynced{f}, err // ten thousand syncs are not what is tested here
	}})
	got := g.roll(What{Scene: "4"})
	block := make([]float32, blockFrames)
	var after int64
	for minute := range minutes {
		for n := range 6000 {
			for i := range block {
				block[i] = float32((n*blockFrames+i)%1024-512) / 2048
			}
			g.now = g.now.Add(10 * time.Millisecond)
			g.r.Feed(block, block)
			if n%4 == 3 {
				g.r.step(g.now)
			}
		}
		if minute == 0 || minute == minutes-1 {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			if minute == 0 {
				after = int64(m.HeapAlloc)
			}
			require.Less(t, int64(m.HeapAlloc)-after, int64(1<<20), "minute %d", minute)
			t.Logf("minute %d: %.1f MB in use", minute+1, float64(m.HeapAlloc)/1e6)
		}
	}
	got = g.stop()
	require.Equal(t, int64(minutes*60*rate), got.Frames)
	require.LessOrEqual(t, len(got.Picture.PeakDBFS), maxPoints)
	require.InDelta(t, float64(minutes*60), got.Picture.StepSeconds*float64(len(got.Picture.PeakDBFS)), 30)
	o := foreign.Open(t, got.Path)[0]
	require.Equal(t, got.Frames, o.Frames)
}

func TestRecoverTellsWhatItDid(t *testing.T) {
	g := newRig(t, Config{})
	g.play(6)
	path := g.roll(What{Scene: "4", Note: "keep"}).Path
	require.Equal(t, Busy, Recover(path).Outcome)
	g.play(2)
	g.r.Mark("here")
	g.play(2.2) // the marker is on disk beside the file by now
	wav, err := os.ReadFile(path)
	require.NoError(t, err)
	sheet, err := os.ReadFile(sheetPath(path))
	require.NoError(t, err)
	g.stop()

	dir := t.TempDir()
	put := func(name string, wav, sheet []byte) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, wav, 0o644))
		if sheet != nil {
			require.NoError(t, os.WriteFile(sheetPath(path), sheet, 0o644))
		}
		return path
	}
	torn := put("torn.wav", wav, sheet)
	put("alone.wav", wav, nil)
	put("empty.wav", wav[:3000], sheet)
	put("letter.wav", []byte("not a sound at all, but long enough"), nil)
	all, err := RecoverAll(dir)
	require.NoError(t, err)
	outcomes := map[string]Outcome{}
	for _, r := range all {
		outcomes[filepath.Base(r.Path)] = r.Outcome
		require.NotEmpty(t, r.Text)
	}
	require.Equal(t, map[string]Outcome{"torn.wav": MendedIt, "alone.wav": MendedIt, "empty.wav": Empty, "letter.wav": Hopeless}, outcomes)
	info, err := bwf.Read(torn)
	require.NoError(t, err)
	require.Equal(t, "keep", info.Meta.Note)
	require.Equal(t, []Marker{{Frame: 7 * rate, Text: "here"}}, info.Markers)
	got, err := Load(torn)
	require.NoError(t, err)
	require.Equal(t, Mended, got.State)
	require.InDelta(t, -19.8, float64(got.Levels.NoiseFloorDBFS), 0.3) // even noise of ±1/8: 20·lg(1/8/√3) + 3.01
	require.NotEmpty(t, got.Picture.PeakDBFS)
	again, err := RecoverAll(dir)
	require.NoError(t, err)
	for _, r := range again {
		require.NotEqual(t, MendedIt, r.Outcome)
	}
}

// The recorder with its goroutine, in real time, ended by Close.
func TestRunsByItself(t *testing.T) {
	r, err := New(Config{Dir: t.TempDir(), Format: capture.Format{RateHz: rate, Channels: 1}})
	require.NoError(t, err)
	got, err := r.Roll(What{Scene: "4", Seconds: 0.5})
	require.NoError(t, err)
	block := make([]float32, 480)
	for begun := time.Now(); r.Status().Rolling; {
		r.Feed(block, block)
		time.Sleep(5 * time.Millisecond)
		require.Less(t, time.Since(begun), time.Minute)
	}
	require.Equal(t, int64(rate/2), foreign.Open(t, got.Path)[0].Frames)
	got, err = r.Roll(What{Scene: "4"})
	require.NoError(t, err)
	r.Feed(block, block)
	require.NoError(t, r.Close())
	ended, err := Load(got.Path)
	require.NoError(t, err)
	require.Equal(t, int64(480), foreign.Open(t, got.Path)[0].Frames-got.LeadFrames-ended.Lost, "silence only where the test itself stood still")
}
