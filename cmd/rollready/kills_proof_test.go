//go:build proof && linux

package main

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/capture/wavfile"
)

var killCount = flag.Int("kills", 72, "how many takes TestProofKills kills")

// victim is one take that is killed: of which kind, and what was left.
type victim struct {
	encoding string // as --encoding takes it
	channels int    // of the input
	pick     string
	safety   bool
	screen   bool
	dir      string
	frames   int64
	holes    int64   // the last frames that may be silent: written, but not all on the disk
	lost     float64 // seconds from the word REC to the kill that are not in the file
	fault    error
}

func (v victim) String() string {
	face, safety := "command", ""
	if v.screen {
		face = "screen"
	}
	if v.safety {
		safety = ", safety"
	}
	return fmt.Sprintf("%s, %s, %d channels%s", face, v.encoding, v.channels, safety)
}

// TestProofKills kills takes at random moments, of every encoding, of one, two
// and eight channels, with and without the safety track, on the screen and by
// command: each is mended, mending again changes no byte, every frame is the
// source's, and at most a second is lost.
func TestProofKills(t *testing.T) {
	u := newUser(t)
	sources := map[int]string{1: counting(t, 1), 2: counting(t, 2), 8: counting(t, 8)}
	var victims []*victim
	for n := range *killCount {
		channels := []int{1, 2, 8}[n%3]
		pick := map[int]string{1: "1", 2: "1+2", 8: "7+8"}[channels]
		victims = append(victims, &victim{encoding: []string{"16", "24", "float"}[n/3%3], channels: channels, pick: pick,
			safety: n/9%2 == 1, screen: n/18%2 == 1, dir: t.TempDir()})
	}
	var wait sync.WaitGroup
	next := make(chan *victim)
	for range 6 {
		wait.Go(func() {
			for v := range next {
				v.fault = v.killed(t, u, sources[v.channels])
			}
		})
	}
	for _, v := range victims {
		next <- v
	}
	close(next)
	wait.Wait()
	tellVictims(t, victims)
}

func tellVictims(t *testing.T, victims []*victim) {
	kinds := map[string][]float64{}
	for _, v := range victims {
		if v.fault != nil {
			t.Errorf("%v: %v", v, v.fault)
			continue
		}
		kinds[v.String()] = append(kinds[v.String()], v.lost)
	}
	worst := 0.0
	for kind, lost := range kinds {
		t.Logf("%-40s %4d kills, at most %.2f s lost", kind, len(lost), slices.Max(lost))
		worst = max(worst, slices.Max(lost))
	}
	t.Logf("%d kills, at most %.2f s lost", len(victims), worst)
	require.LessOrEqual(t, worst, 1.0)
}

// counting is a file whose every frame tells its place: 20 s of a count up to
// 65536 in steps of the least of 16 bits, from another start in each channel.
func counting(t *testing.T, channels int) string {
	block := make([]float32, 20*48000*channels)
	for i := range block {
		block[i] = countAt(i/channels, i%channels)
	}
	path := filepath.Join(t.TempDir(), "counting.wav")
	w, err := wavfile.Create(path, capture.Format{RateHz: 48000, Channels: channels}, wavfile.PCM24)
	require.NoError(t, err)
	require.NoError(t, w.Write(block))
	require.NoError(t, w.Close())
	return path
}

func countAt(frame, channel int) float32 {
	return float32((frame+1000*channel)%65536-32768) / 32768
}

// killed records, kills after the word REC, mends and reads what is left.
func (v *victim) killed(t *testing.T, u user, source string) error {
	run := v.byCommand
	if v.screen {
		run = v.onScreen
	}
	rolled, err := run(t, u, source)
	if err != nil {
		return err
	}
	paths, _ := filepath.Glob(filepath.Join(v.dir, "*.wav"))
	if len(paths) != 1 {
		return fmt.Errorf("%d takes in the folder", len(paths))
	}
	if err := v.mended(paths[0]); err != nil {
		return err
	}
	if err := v.equal(paths[0]); err != nil {
		return err
	}
	v.lost = rolled.Seconds() - float64(v.frames)/48000
	return nil
}

// byCommand runs take record and gives how long it had been rolling.
func (v *victim) byCommand(_ *testing.T, u user, source string) (time.Duration, error) {
	args := []string{"take", "record", "--input", "file:" + source, "--channels", v.pick, "--takes", v.dir, "--scene", "7", "--encoding", v.encoding}
	if v.safety {
		args = append(args, "--safety")
	}
	cmd := u.command(args...)
	said, err := cmd.StderrPipe()
	if err != nil {
		return 0, err
	}
	if err := cmd.Start(); err != nil {
		return 0, err
	}
	line, err := bufio.NewReader(said).ReadString('\n')
	rolling := time.Now()
	if !strings.Contains(line, "REC") {
		_ = cmd.Process.Kill()
		return 0, fmt.Errorf("%q instead of REC: %v", line, err)
	}
	rolled := standing(rolling, randomly())
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
	return rolled, nil
}

func randomly() time.Duration { return time.Duration(300+rand.IntN(3000)) * time.Millisecond }

// standing waits so long and gives what went by, less the times in which this
// test, and so the program too, stood still.
func standing(from time.Time, length time.Duration) time.Duration {
	still := time.Duration(0)
	for last := time.Now(); time.Since(from) < length; {
		time.Sleep(5 * time.Millisecond)
		if late := time.Since(last) - 5*time.Millisecond; late > 50*time.Millisecond {
			still += late
		}
		last = time.Now()
	}
	return time.Since(from) - still
}

// onScreen rolls by key in a terminal.
func (v *victim) onScreen(t *testing.T, u user, source string) (time.Duration, error) {
	p, err := startInTerminal(t, []string{"--config", v.config(t), "--takes", v.dir, "--input", "file:" + source, "--channels", v.pick}, u.env)
	if err != nil {
		return 0, err
	}
	defer p.end()
	if err := p.waitFor("ctrl-r"); err != nil {
		return 0, err
	}
	p.press("\x12")
	if err := p.waitFor("REC"); err != nil {
		return 0, err
	}
	rolled := standing(time.Now(), randomly())
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
	return rolled, nil
}

// config is a folder of settings with the encoding and the tracks of a victim.
func (v *victim) config(t *testing.T) string {
	dir := filepath.Join(v.dir, "config")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	text := fmt.Sprintf("version = 1\n[takes]\nencoding = '%s'\ninput_tracks = true\nsafety_track = %v\npre_record_s = 0.0\n", v.encoding, v.safety)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "settings.toml"), []byte(text), 0o644))
	return dir
}

// mended mends a take twice: the second time changes no byte.
func (v *victim) mended(path string) error {
	first := take.Recover(path)
	if first.Outcome != take.MendedIt && first.Outcome != take.Whole {
		return fmt.Errorf("%s: %s", first.Outcome, first.Text)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	again := take.Recover(path)
	for n := 0; n < 50 && again.Outcome == take.Busy; n++ { // a child of this test that is just being started holds all files that are open
		time.Sleep(20 * time.Millisecond)
		again = take.Recover(path)
	}
	if again.Outcome != take.Whole {
		return fmt.Errorf("mended again: %s: %s", again.Outcome, again.Text)
	}
	after, err := os.ReadFile(path)
	if err == nil && !slices.Equal(before, after) {
		err = fmt.Errorf("mending a mended take changes it")
	}
	return err
}

func silent(frame []float32) bool {
	return !slices.ContainsFunc(frame, func(x float32) bool { return x != 0 })
}

// equal compares every frame with the source's: tracks processed, input and,
// 10 dB lower, safety.
func (v *victim) equal(path string) error {
	r, err := wavfile.Open(path)
	if err != nil {
		return err
	}
	defer r.Close()
	picked, tracks := min(v.channels, 2), r.Format().Channels
	if want := picked * map[bool]int{false: 2, true: 3}[v.safety]; tracks != want {
		return fmt.Errorf("%d tracks, %d wanted", tracks, want)
	}
	v.frames = r.Frames()
	block := make([]float32, int(v.frames)*tracks)
	if n, err := r.Read(block); int64(n) != v.frames {
		return fmt.Errorf("%d of %d frames can be read: %v", n, v.frames, err)
	}
	if v.frames == 0 {
		return nil
	}
	heard := 0
	for heard < int(v.frames)-1 && silent(block[heard*tracks:(heard+1)*tracks]) {
		heard++
	}
	// the place of the first frame in the source, of those there may be
	first := int(block[heard*tracks+picked]*32768) + 32768 - 1000*(v.channels-picked) - heard
	safety := math.Pow(10, -10.0/20)
	for i := range int(v.frames) {
		if int64(i) >= v.frames-v.holes && silent(block[i*tracks:(i+1)*tracks]) {
			continue
		}
		for c := range tracks {
			want := float64(countAt(first+i+40*65536, v.channels-picked+c%picked))
			if c >= 2*picked {
				want *= safety
			}
			if got := float64(block[i*tracks+c]); math.Abs(got-want) > map[bool]float64{false: 1e-9, true: 1.01 / 32768}[c >= 2*picked] {
				return fmt.Errorf("frame %d of %d, track %d: %g instead of %g", i, v.frames, c+1, got, want)
			}
		}
	}
	return nil
}
