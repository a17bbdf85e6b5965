package take

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/capture/take/internal/foreign"
	"rollready/capture/wavfile"
	"rollready/dsp/verdict"
)

// half a step of 24 bits, and of 16
const (
	half24 = 0.5001 / (1 << 23)
	half16 = 0.5001 / (1 << 15)
)

func TestTakeHoldsWhatWasPlayed(t *testing.T) {
	for _, c := range []Config{
		{},
		{Safety: true},
		{NoInput: true, Encoding: wavfile.PCM16},
		{Encoding: wavfile.Float32, Safety: true, Format: capture.Format{RateHz: rate, Channels: 1}},
	} {
		g := newRig(t, c)
		g.play(7.2)
		begun := g.roll(What{Scene: "4"})
		g.play(3)
		g.feed(3) // not looked at yet
		got := g.stop()
		require.Equal(t, int64(5*rate), got.LeadFrames)
		require.Equal(t, begun.Started, got.Started)
		require.WithinDuration(t, noon.Add(2200*time.Millisecond), got.Started, time.Microsecond)
		from, to := int64(2.2*rate), int64(10.23*rate)
		require.Equal(t, to-from, got.Frames)
		tolerance := float32(half24)
		if c.Encoding == wavfile.PCM16 {
			tolerance = half16
		}
		within(t, g.tracks(from, to, !c.NoInput, c.Safety), foreign.Samples(t, got.Path, "0", "-1"), tolerance)
		require.Equal(t, c.Encoding == wavfile.PCM16, got.Encoding == "16-bit")
		_, why := got.Verdict()
		require.Contains(t, why, "No voice stands out from the room", "it is noise")
	}
}

func TestSafetyTrackKeepsWhatClips(t *testing.T) {
	g := newRig(t, Config{Safety: true, PreRoll: -1, Format: capture.Format{RateHz: rate, Channels: 1}})
	g.roll(What{Scene: "1"})
	loud := make([]float32, 480)
	for i := range loud {
		loud[i] = 2.5 * float32(math.Sin(float64(i)/5)) // +8 dBFS
	}
	g.r.Feed(make([]float32, 480), loud)
	got := foreign.Samples(t, g.stop().Path, "0", "-1")
	for i, x := range loud {
		require.InDelta(t, max(-1, min(1, x)), got[3*i], 1e-6)
		require.InDelta(t, float64(x)*math.Pow(10, -0.5), got[3*i+2], 1e-6)
	}
}

func TestMarkersAndSlateSitWhereTheyWere(t *testing.T) {
	g := newRig(t, Config{})
	g.r.Mark("before any take")
	g.play(6)
	got := g.roll(What{Scene: "4", Note: "wide"})
	from := int64(1 * rate)
	g.play(1)
	g.feed(2)
	g.r.Mark("door")
	door := int64(7.02*rate) - from
	g.feed(1)
	g.r.Slate()
	g.play(1)
	slate := int64(7.03*rate) - from
	g.r.SetNote("the second half is good")
	got = g.stop()
	require.Equal(t, []Marker{{Frame: door, Text: "door"}, {Frame: slate, Text: "slate"}}, got.Markers)
	info, err := bwf.Read(got.Path)
	require.NoError(t, err)
	require.Equal(t, got.Markers, info.Markers)
	require.Equal(t, "the second half is good", info.Meta.Note)
	require.Equal(t, uint64(12*3600+1)*rate, info.Bext.TimeReference)

	// The tone is in the processed tracks alone, from the marker on: 1 kHz
	// against the input, which is the same noise.
	samples := foreign.Samples(t, got.Path, "0", "-1")
	tone := func(frame int64) float64 { return float64(samples[4*frame] - samples[4*frame+2]/2) }
	require.InDelta(t, 0, tone(slate-1), 1e-6)
	peak, crossings := 0.0, 0
	for f := slate; f < slate+int64(0.3*rate); f++ {
		peak = max(peak, math.Abs(tone(f)))
		if tone(f) < 0 && tone(f+1) >= 0 {
			crossings++
		}
	}
	require.InDelta(t, 0.1, peak, 0.001)
	require.InDelta(t, 300, crossings, 2)
	require.InDelta(t, 0, tone(slate+int64(0.3*rate)+1), 1e-6)
}

func TestNumbersCountUpAndNothingIsOverwritten(t *testing.T) {
	dir := t.TempDir()
	g := newRig(t, Config{Dir: dir})
	g.play(1)
	for _, name := range []string{"4_001.wav", "4_002.wav", "4_003.wav"} {
		require.Equal(t, name, base(g.roll(What{Scene: "4"})))
		_, err := g.r.Roll(What{Scene: "4"})
		require.ErrorIs(t, err, ErrRolling)
		g.play(0.1)
		g.stop()
	}
	require.Equal(t, "4B_001.wav", base(g.roll(What{Scene: "4B"})))
	_, err := Delete(filepath.Join(dir, "4B_001.wav"))
	require.ErrorIs(t, err, bwf.ErrBusy)
	g.stop()
	_, err = g.r.Roll(What{Scene: "4", Number: 2})
	require.ErrorContains(t, err, "exists already")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "4_004.toml"), nil, 0o644))
	require.Equal(t, 5, g.roll(What{Scene: "4"}).Number)
	g.stop()
	for _, scene := range []string{"", " ", "../4", `4\5`, ".4", "a:b", strings.Repeat("x", 200)} {
		_, err = g.r.Roll(What{Scene: scene})
		require.Error(t, err, scene)
	}
}

// Two programs on one folder never write the same take.
func TestTwoRecordersTakeDifferentFiles(t *testing.T) {
	dir := t.TempDir()
	a, b := newRig(t, Config{Dir: dir}), newRig(t, Config{Dir: dir})
	first, second := a.roll(What{Scene: "4"}), b.roll(What{Scene: "4"})
	require.NotEqual(t, first.Path, second.Path)
	_, err := b.r.Stop()
	require.NoError(t, err)
	require.Equal(t, Busy, Recover(first.Path).Outcome)
	_, err = Change(first.Path, func(*Take) {})
	require.ErrorIs(t, err, bwf.ErrBusy)
	seen, err := Load(first.Path)
	require.NoError(t, err)
	word, why := seen.Verdict()
	require.Equal(t, "rolling", word)
	require.Empty(t, why)
	require.ErrorIs(t, bwf.Amend(first.Path, bwf.Meta{}), bwf.ErrBusy)
	a.stop()
}

func TestRoomToneEndsByItself(t *testing.T) {
	g := newRig(t, Config{})
	g.play(6)
	got := g.roll(RoomTone("4"))
	require.Equal(t, "4_room-1.wav", base(got))
	g.play(31)
	require.False(t, g.r.Status().Rolling)
	got = g.r.Status().Take
	require.Equal(t, int64(30*rate), got.Frames)
	require.True(t, got.RoomTone)
	within(t, g.tracks(6*rate, 36*rate, true, false), foreign.Samples(t, got.Path, "0", "-1"), half24)
	_, err := g.r.Stop()
	require.ErrorIs(t, err, ErrNotRolling)
	info, err := bwf.Read(got.Path)
	require.NoError(t, err)
	require.True(t, info.Meta.RoomTone)
}

// An input that goes away for 10 s while rolling leaves 10 s of silence, two
// markers, and what follows in step with time.
func TestLostInputStaysInStep(t *testing.T) {
	g := newRig(t, Config{})
	g.play(2)
	g.roll(What{Scene: "4"})
	g.play(3)
	g.silent(10)
	s := g.r.Status()
	require.True(t, s.Lost)
	require.InDelta(t, 15, s.Elapsed.Seconds(), 0.5)
	require.Equal(t, verdict.InputLost, s.Alarms[0].Kind)
	g.r.Mark("while away")
	g.play(2)
	got := g.stop()
	require.Equal(t, int64(17*rate), got.Frames)
	require.Equal(t, int64(10*rate), got.Lost)
	require.Equal(t, []string{"input lost", "while away", "input back"}, texts(got.Markers))
	require.Equal(t, int64(5*rate), got.Markers[0].Frame)
	require.InDelta(t, 15*rate, got.Markers[1].Frame, 0.5*rate)
	require.Equal(t, int64(15*rate), got.Markers[2].Frame)
	samples := foreign.Samples(t, got.Path, "0", "-1")
	within(t, g.tracks(0, 5*rate, true, false), samples[:4*5*rate], half24)
	within(t, make([]float32, 4*10*rate), samples[4*5*rate:4*15*rate], 0)
	within(t, g.tracks(5*rate, 7*rate, true, false), samples[4*15*rate:], half24)
	word, why := got.Verdict()
	require.Equal(t, "listen", word)
	require.Contains(t, why[0], "10.0 s")
	require.False(t, g.r.Status().Lost)
}

// Microphones that are mixed for the camera may be too much for it together: a
// take knows, though none of its tracks is.
func TestTheCamerasFeedMayBeHigherThanTheTracks(t *testing.T) {
	for _, sent := range []float32{0.6, -1.2} {
		g := newRig(t, Config{PreRoll: -1})
		block, camera := make([]float32, 2*blockFrames), make([]float32, 2*blockFrames)
		g.r.MixSlate(block, []float32{4, 4}, nil)
		g.roll(What{Scene: "4"})
		for range 100 {
			for i := range block {
				block[i] = float32(0.6 * math.Sin(float64(i/2)/10))
			}
			camera[7] = sent
			g.r.MixSlate(block, camera, nil)
			g.r.Feed(block, block)
			g.now = g.now.Add(10 * time.Millisecond)
			g.r.step(g.now)
		}
		got := g.stop()
		require.InDelta(t, max(20*math.Log10(0.6), 20*math.Log10(math.Abs(float64(sent)))), float64(got.Levels.CameraPeakDBTP), 0.1)
		require.InDelta(t, 20*math.Log10(0.6), float64(got.Levels.OutputPeakDBTP), 0.1)
		require.Equal(t, sent == -1.2, got.has(verdict.TooHot))
	}
}

// A slate in the very moment of the return is marked where it sounds, also
// where that is after the recorder looked and before it writes, or as it stops.
func TestSlateAtTheReturnOfTheInput(t *testing.T) {
	for name, back := range map[string]func(g *rig){
		"before a look": func(g *rig) { g.play(1) },
		"after a look": func(g *rig) {
			change, silence := g.r.watch.look(g.now)
			g.feed(4)
			g.r.rolling(g.now, change, silence)
			g.play(1)
		},
		"at the stop": func(g *rig) { g.feed(100) },
	} {
		g := newRig(t, Config{PreRoll: -1})
		g.roll(What{Scene: "4"})
		g.play(2)
		g.silent(3)
		g.r.Slate()
		back(g)
		got := g.stop()
		require.Equal(t, []string{"input lost", "input back", "slate"}, texts(got.Markers), name)
		require.Equal(t, int64(5*rate), got.Markers[2].Frame, name)
		samples := foreign.Samples(t, got.Path, "0", "-1")
		within(t, make([]float32, 4*3*rate), samples[4*2*rate:4*5*rate], 0)
		within(t, g.tracks(2*rate, 3*rate, true, false), samples[4*5*rate:4*6*rate], half24)
	}
}

func texts(markers []Marker) (all []string) {
	for _, m := range markers {
		all = append(all, m.Text)
	}
	return all
}

// A disk that pauses longer than the ring is long costs frames: they are
// counted, and silence of the same length keeps the rest in its place.
func TestLagIsCountedAndKeepsTime(t *testing.T) {
	g := newRig(t, Config{PreRoll: -1, Slack: time.Second})
	g.roll(What{Scene: "4"})
	g.play(1)
	g.feed(400) // 4 s without a step; the ring holds 65536 frames
	g.r.step(g.now)
	g.play(1)
	got := g.stop()
	require.Equal(t, int64(6*rate), got.Frames)
	fits := int64(65536 / blockFrames * blockFrames)
	require.Equal(t, int64(4*rate)-fits, got.Lag)
	require.Equal(t, got.Lag, g.r.Status().Lag)
	samples := foreign.Samples(t, got.Path, "0", "-1")
	gap := rate + fits
	within(t, g.tracks(0, gap, true, false), samples[:4*gap], half24)
	within(t, make([]float32, 4*got.Lag), samples[4*gap:4*(gap+got.Lag)], 0)
	within(t, g.tracks(gap+got.Lag, 6*rate, true, false), samples[4*(gap+got.Lag):], half24)
	require.Equal(t, verdict.Lagging, got.Events[0].Kind)
}

func TestAlarmsAreLogged(t *testing.T) {
	free := int64(1 << 40)
	g := newRig(t, Config{DiskFree: func(string) (int64, error) { return free, nil }})
	g.roll(What{Scene: "4"})
	g.play(2)
	require.Empty(t, g.r.Status().Alarms)
	full := make([]float32, 2*blockFrames)
	for i := range full {
		full[i] = 1
	}
	g.r.Feed(full, full)
	g.play(0.2)
	require.Equal(t, verdict.InputClipped, g.r.Status().Alarms[0].Kind)
	g.play(4)
	require.Empty(t, g.r.Status().Alarms)
	quiet := make([]float32, 2*rate)
	for range 12 {
		g.now = g.now.Add(time.Second)
		g.r.Feed(quiet, quiet)
		g.r.step(g.now)
	}
	require.Equal(t, verdict.Silence, g.r.Status().Alarms[0].Kind)
	g.play(0.2)
	g.r.Battery(15, false)
	g.r.Dropped(77)
	perSecond := int64(rate * 4 * 3)
	free = diskReserve + 300*perSecond
	g.play(1.2)
	require.InDelta(t, 300, g.r.Status().DiskLeft.Seconds(), 0.1)
	g.r.Battery(15, true)
	g.play(4)
	require.Len(t, g.r.Status().Alarms, 1)
	got := g.stop()
	var kinds []verdict.Code
	for _, e := range got.Events {
		kinds = append(kinds, e.Kind)
	}
	require.Equal(t, []verdict.Code{verdict.InputClipped, verdict.Silence, verdict.BatteryLow, verdict.Dropouts, verdict.DiskLow}, kinds)
	require.Equal(t, int64(77), got.Dropouts)
	require.Equal(t, int64(2), got.Levels.Clips) // one run in each channel
	loaded, err := Load(got.Path)
	require.NoError(t, err)
	for i := range loaded.Events {
		require.WithinDuration(t, got.Events[i].At, loaded.Events[i].At, 0)
		require.Equal(t, got.Events[i].Text, loaded.Events[i].Text)
	}
}

func TestAlarmsThatAreOff(t *testing.T) {
	g := newRig(t, Config{SilenceAfter: -1, DiskWarning: -1, DiskFree: func(string) (int64, error) { return diskReserve + 1<<20, nil }})
	g.roll(What{Scene: "4"})
	g.r.Feed(make([]float32, 2*rate), make([]float32, 2*rate))
	g.r.step(g.now.Add(time.Second / 2))
	require.Positive(t, g.r.Status().DiskLeft)
	require.Empty(t, g.r.Status().Alarms)
}

// The disk is nearly full: the take ends by itself, whole, and the sound goes
// on being kept for the next.
func TestStopsBeforeTheDiskIsFull(t *testing.T) {
	free := int64(diskReserve + 5*rate*4*3)
	dir := t.TempDir()
	g := newRig(t, Config{Dir: dir, DiskFree: func(string) (int64, error) {
		found, _ := filepath.Glob(filepath.Join(dir, "*.wav"))
		used := int64(0)
		for _, f := range found {
			stat, _ := os.Stat(f)
			used += stat.Size()
		}
		return free - used, nil
	}})
	g.roll(What{Scene: "4"})
	g.play(8)
	s := g.r.Status()
	require.False(t, s.Rolling)
	require.ErrorContains(t, s.Problem, "recording stopped: disk full; 0:0")
	require.InDelta(t, 5, s.Take.Duration().Seconds(), 1.1)
	require.Greater(t, s.Kept, 2*time.Second)
	o := foreign.Open(t, s.Take.Path)[0]
	require.Equal(t, s.Take.Frames, o.Frames)
	_, err := g.r.Roll(What{Scene: "4"})
	require.ErrorContains(t, err, "disk full")
}

// fullFile is a disk that is full all of a sudden.
type fullFile struct {
	bwf.File
	room int64
}

func (f *fullFile) WriteAt(p []byte, at int64) (int, error) {
	if at+int64(len(p)) > f.room {
		return 0, errors.New("no space left on device")
	}
	return f.File.WriteAt(p, at)
}

func TestFailingDiskKeepsWhatWasWritten(t *testing.T) {
	g := newRig(t, Config{OpenFile: func(path string) (bwf.File, error) {
		f, err := bwf.Open(path)
		return &fullFile{f, 2_000_000}, err
	}})
	g.roll(What{Scene: "4"})
	g.play(6)
	s := g.r.Status()
	require.False(t, s.Rolling)
	require.ErrorContains(t, s.Problem, "no space left on device; 0:03 saved")
	o := foreign.Open(t, s.Take.Path)[0]
	require.Equal(t, s.Take.Frames, o.Frames)
	require.Greater(t, o.Frames, int64(3*rate))
	require.Equal(t, verdict.RecordingFailed, s.Take.Events[0].Kind)
}

func TestFolderThatCanNotBeWrittenSaysSo(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	g := newRig(t, Config{Dir: file})
	_, err := g.r.Roll(What{Scene: "4"})
	require.ErrorContains(t, err, "choose another")
}

func TestSheetSurvivesSilenceAndChange(t *testing.T) {
	g := newRig(t, Config{PreRoll: -1})
	g.roll(What{Scene: "4"})
	quiet := make([]float32, 2*rate)
	g.r.Feed(quiet, quiet)
	got := g.stop()
	require.True(t, math.IsInf(float64(got.Levels.CameraPeakDBTP), -1))
	loaded, err := Load(got.Path)
	require.NoError(t, err)
	require.Equal(t, got.Levels.CameraPeakDBTP, loaded.Levels.CameraPeakDBTP)
	changed, err := Change(got.Path, func(t *Take) { t.Circled, t.Note = true, "übernehmen" })
	require.NoError(t, err)
	again, err := Load(got.Path)
	require.NoError(t, err)
	require.True(t, again.Circled && changed.Circled)
	require.NoError(t, os.Remove(sheetPath(got.Path)))
	bare, err := Load(got.Path)
	require.NoError(t, err)
	require.Equal(t, "übernehmen", bare.Note)
	require.True(t, bare.Circled)
	require.Equal(t, got.Tracks, bare.Tracks)
	require.True(t, got.Started.Equal(bare.Started))
}

func TestDeleteAndUndo(t *testing.T) {
	g := newRig(t, Config{})
	g.play(1)
	g.roll(What{Scene: "4"})
	got := g.stop()
	d, err := Delete(got.Path)
	require.NoError(t, err)
	_, err = os.Stat(got.Path)
	require.ErrorIs(t, err, fs.ErrNotExist)
	second := g.roll(What{Scene: "4"})
	g.stop()
	require.Equal(t, 2, second.Number)
	require.NoError(t, Undo(d))
	all, err := List(filepath.Dir(got.Path))
	require.NoError(t, err)
	require.Len(t, all, 2)
	require.Equal(t, got.Path, all[0].Take.Path)

	again, err := Delete(got.Path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(got.Path, []byte("someone else's"), 0o644))
	require.ErrorIs(t, Undo(again), fs.ErrExist)
	kept, _ := os.ReadFile(got.Path)
	require.Equal(t, "someone else's", string(kept))
}

func TestNextScene(t *testing.T) {
	for scene, want := range map[string]string{"1": "2", "09": "10", "12A": "12B", "12Z": "12AA", "kitchen": "kitchen 2",
		"kitchen 2": "kitchen 3", "A": "A 2", "999999999": "1000000000"} {
		require.Equal(t, want, NextScene(scene), scene)
	}
}

func TestPatterns(t *testing.T) {
	require.NoError(t, CheckPattern("{date} {scene}-{take}"))
	for _, bad := range []string{"", "{scene}", "{take}/{scene}", "{takes}{take}", "{take}{", ".{take}"} {
		require.Error(t, CheckPattern(bad), bad)
	}
	dir := t.TempDir()
	pattern := "{date} {scene}-{take} {time}"
	name := FileName(pattern, "a+b", 7, false, noon)
	require.Equal(t, "2026-03-04 a+b-007 12-00-00.wav", name)
	require.NoError(t, os.WriteFile(filepath.Join(dir, name), nil, 0o644))
	require.Equal(t, 8, NextNumber(dir, pattern, "a+b", false))
	require.Equal(t, 1, NextNumber(dir, pattern, "a+b", true))
	require.Equal(t, 1, NextNumber(dir, pattern, "aab", false))
}

func TestAudioSideDoesNotAllocate(t *testing.T) {
	r, err := newRecorder(Config{Dir: t.TempDir(), Format: capture.Format{RateHz: rate, Channels: 2}, PreRoll: -1, Slack: time.Second})
	require.NoError(t, err)
	in, out := make([]float32, 960), make([]float32, 960)
	require.Zero(t, testing.AllocsPerRun(500, func() { // fills the ring and goes on
		r.Slate()
		r.MixSlate(out, in, in)
		r.Feed(in, out)
	}))
	require.Positive(t, r.intake.lag.Load())
}

func BenchmarkFeed(b *testing.B) {
	r, err := newRecorder(Config{Dir: b.TempDir(), Format: capture.Format{RateHz: rate, Channels: 2}})
	require.NoError(b, err)
	in, out := make([]float32, 960), make([]float32, 960)
	b.ReportAllocs()
	for b.Loop() {
		r.MixSlate(out, in, nil)
		r.Feed(in, out)
		r.intake.keepNone()
	}
}

// The folder of a rolling take is removed, or becomes another: the take ends
// and says so within a second or two, instead of going on where nobody looks.
func TestAFolderTakenAwayEndsTheTake(t *testing.T) {
	for name, take := range map[string]func(dir string) error{
		"removed": os.RemoveAll,
		"renamed": func(dir string) error { return os.Rename(dir, dir+" old") },
		"replaced": func(dir string) error {
			return errors.Join(os.Rename(dir, dir+" old"), os.Mkdir(dir+" new", 0o755), os.Symlink(dir+" new", dir))
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "takes")
			g := newRig(t, Config{Dir: dir, PreRoll: -1})
			path := g.roll(What{Scene: "4"}).Path
			g.play(3)
			require.True(t, g.r.Status().Rolling)
			require.NoError(t, take(dir))
			g.play(2)
			require.False(t, g.r.Status().Rolling)
			require.ErrorContains(t, g.r.Status().Problem, "moved or removed")
			if name != "removed" {
				moved := filepath.Join(dir+" old", filepath.Base(path))
				info, err := bwf.Read(moved)
				require.NoError(t, err)
				require.Greater(t, info.Frames, int64(3*rate-1))
				require.NotEqual(t, Hopeless, Recover(moved).Outcome)
			}
			require.Equal(t, filepath.Join(dir, filepath.Base(path)), g.roll(What{Scene: "4"}).Path, "the next take rolls")
			g.play(1)
			require.Equal(t, int64(rate), g.stop().Frames)
		})
	}
}
