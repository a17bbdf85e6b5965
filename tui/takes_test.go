package tui

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/tui/desk"
	"rollready/tui/widget"
)

func TestCircleNoteDeleteUndoReport(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "down")
	shows(t, p.root, "input clipped 2×")
	path := "/media/card/Takes/12A_002.wav"
	circled := func() bool { return p.rec.takes[p.rec.find(path)].Take.Circled }
	press(p.root, "c")
	require.True(t, circled())
	shows(t, p.root, "GOOD")
	press(p.root, "u")
	require.False(t, circled())
	press(p.root, "e", "ctrl+u", "gulls", "enter")
	require.Equal(t, "gulls", p.rec.takes[p.rec.find(path)].Take.Note)
	press(p.root, "d")
	require.Negative(t, p.rec.find(path))
	shows(t, p.root, "Deleted 12A take 2; u brings it back")
	press(p.root, "u")
	require.Positive(t, p.rec.find(path))
	press(p.root, "u")
	shows(t, p.root, "Nothing to undo")
	press(p.root, "w")
	shows(t, p.root, "Sound report: /media/card/Takes/sound report 2024-05-17.html")
	p.rec.fails = errors.New("card is full")
	press(p.root, "w")
	shows(t, p.root, "card is full")
}

// TestTheListReadLastIsShown: a list asked for after an action may have been
// read before it.
func TestTheListReadLastIsShown(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "down")
	_, circle := p.root.Update(letter('c'))
	_, read := p.root.Update(desk.TakesChangedMsg{})
	settle(p.root, read)
	require.NotContains(t, look(p.root), "GOOD")
	settle(p.root, circle)
	shows(t, p.root, "GOOD")
}

// What is wrong with a take stays in sight, however good it was.
func TestAGoodTakeIsNotCalledClean(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "down")
	shows(t, p.root, "input clipped 2×")
	press(p.root, "c", "e", "ctrl+u", strings.Repeat("gulls over the quay ", 6), "enter")
	screen := look(p.root)
	require.Contains(t, screen, "3:12 ◉ listen")
	require.Less(t, strings.Index(screen, "input clipped 2×"), strings.Index(screen, "gulls over"))
}

func TestScenes(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "n")
	shows(t, p.root, "Next: 12B take 5")
	press(p.root, "s", "ctrl+u", "a/b", "enter")
	shows(t, p.root, "can't be part of a file name")
	press(p.root, "ctrl+u", "kitchen", "enter", "ctrl+r")
	require.Equal(t, "kitchen", p.rec.Status().Take.Scene)
	require.Equal(t, "kitchen", p.desk.Settings.Recording.Scene)
}

func TestARollingTakeIsNotChanged(t *testing.T) {
	p := record(t, takesName)
	press(p.root, "ctrl+r")
	shows(t, p.root, "▸ 12A take 5")
	for _, key := range []string{"c", "d", "enter", "i"} {
		press(p.root, key)
		shows(t, p.root, "12A take 5 is rolling: stop it first")
	}
	require.Len(t, p.rec.takes, 5)
}

func TestAnUnreadableTakeIsShown(t *testing.T) {
	p := record(t, takesName)
	p.rec.takes = append(p.rec.takes, take.Found{Take: take.Take{Path: "/x/odd.wav"}, Err: errors.New("odd.wav is no WAV")})
	press(p.root, "1", tab(p.root, takesName), "home")
	shows(t, p.root, "broken")
	shows(t, p.root, "odd.wav is no WAV")
	press(p.root, "enter", "c")
	require.Empty(t, p.switched)
}

func TestRecordingIsSetInSetup(t *testing.T) {
	p := record(t, setupName)
	choose := func(name string) { choose(p.root, name) }
	choose("Take format")
	press(p.root, "right")
	require.Equal(t, "float", p.rec.set.Encoding)
	shows(t, p.root, "32-bit float")
	choose("Safety track")
	press(p.root, "right")
	choose("Raw input tracks")
	press(p.root, "right")
	choose("Pre-record")
	press(p.root, "right")
	require.True(t, p.rec.set.Safety && p.rec.set.NoInput)
	require.Equal(t, 10.0, p.desk.Settings.Recording.PreRecordS)
	choose("Silence alarm")
	press(p.root, "left", "left")
	require.Zero(t, p.desk.Settings.Recording.SilenceS)
	shows(t, p.root, "Silence alarm    never")
	choose("Disk alarm")
	press(p.root, "right")
	require.Equal(t, 20.0, p.rec.set.DiskMin)
	choose("Take names")
	shows(t, p.root, "Take 3 would be")
	shows(t, p.root, "12A_003.wav")
	for bad, why := range map[string]string{"{scene}": "put {take} into it, or takes get the same name",
		"{take}/x": "'/' can't be part of a file name", "{take}{roll}": "use {scene}, {take}, {date}, {time} alone"} {
		press(p.root, "enter", "ctrl+u", bad, "enter")
		shows(t, p.root, why)
		press(p.root, "esc")
		require.Empty(t, p.desk.Settings.Recording.Names)
	}
	press(p.root, "enter", "ctrl+u", "{date} {scene}-{take}", "enter")
	require.Equal(t, "{date} {scene}-{take}", p.desk.Settings.Recording.Names)
	shows(t, p.root, "Takes are named like 2024-05-17 12A-003.wav")
	choose("Takes folder")
	press(p.root, "enter", "ctrl+u", "/media/other", "enter")
	require.Equal(t, "/media/other", p.desk.Settings.Recording.Dir)
	p.rec.fails = errors.New("folder of the takes: read-only; choose another")
	press(p.root, "enter", "ctrl+u", "/media/third", "enter")
	shows(t, p.root, "read-only; choose another")
	require.Equal(t, "/media/other", p.desk.Settings.Recording.Dir)
	p.rec.fails = nil
	press(p.root, "ctrl+r", "enter", "ctrl+u", "/media/third", "enter")
	shows(t, p.root, "stop it first")
	choose("Channels")
	press(p.root, "right")
	require.Empty(t, p.switched, "the input stays while a take rolls")
}

// What the evening's reading of the cards noted beside the takes is shown.
func TestTheClipsOfATakeAreNamed(t *testing.T) {
	p := record(t, takesName)
	p.rec.folder = t.TempDir()
	day := dailies.Day{Takes: []dailies.Recording{{Path: filepath.Join(p.rec.folder, "12A_002.wav")}, {Path: filepath.Join(p.rec.folder, "12A_003.wav")}}}
	for _, name := range []string{"A001", "A002"} {
		day.Clips = append(day.Clips, dailies.Clip{Recording: dailies.Recording{Path: "/card/" + name + ".mp4"}, Parts: []dailies.Part{{Take: day.Takes[0]}}})
	}
	press(p.root, "b")
	shows(t, p.root, "No cards were read yet")
	require.NoError(t, day.KeepPairs())
	press(p.root, "c") // reads the folder anew
	seen := map[string]bool{}
	for range 4 {
		for _, text := range []string{"Clips: A001.mp4, A002.mp4", "no clip of it on the cards", "12A take 2 +2"} {
			seen[text] = seen[text] || strings.Contains(look(p.root), text)
		}
		press(p.root, "down")
	}
	require.Len(t, seen, 3)
	for text, shown := range seen {
		require.True(t, shown, text)
	}
}

// b plays a take beside its clip and swaps the two, o takes its next clip.
func TestATakePlaysBesideItsClips(t *testing.T) {
	p := record(t, takesName)
	p.rec.folder = t.TempDir()
	day := dailies.Day{Takes: []dailies.Recording{{Path: filepath.Join(p.rec.folder, "12A_003.wav")}}}
	for i, name := range []string{"A001", "A002"} {
		part := dailies.Part{Take: day.Takes[0]}
		part.Fit.OffsetS = float64(i)
		day.Clips = append(day.Clips, dailies.Clip{Recording: dailies.Recording{Path: "/card/" + name + ".mp4"}, Parts: []dailies.Part{part}})
	}
	require.NoError(t, day.KeepPairs())
	press(p.root, "c") // reads the folder anew
	press(p.root, "b")
	shows(t, p.root, "PLAYING CLIP A001.mp4, over 12A take 3")
	p.frames(20 * widget.FramesPerSecond)
	shows(t, p.root, "b swap")
	press(p.root, "b")
	shows(t, p.root, "PLAYING TAKE 12A take 3, under A001.mp4")
	press(p.root, "o")
	shows(t, p.root, "CLIP A002.mp4, over")
	press(p.root, "o")
	shows(t, p.root, "CLIP A001.mp4, over")
	press(p.root, "1", "esc")
	require.Nil(t, p.desk.Playing)
	press(p.root, tab(p.root, takesName), "down", "b")
	shows(t, p.root, "No clip of 12A take 2 on the cards that were read")
}
