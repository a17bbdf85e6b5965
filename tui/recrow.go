package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"rollready/capture"
	"rollready/capture/take"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/widget"
)

// recRow tells whether a row of its own is needed for the take.
func recRow(d *desk.Desk) bool { return d.Rec.Rolling || d.Failure != "" }

// drawRec is the row that can't be missed while a take rolls, and after one
// was broken off.
func drawRec(f *widget.Frame, row canvas.Rect, d *desk.Desk, words []recWord) {
	if text := d.Failure; text != "" {
		drawBrokenOff(f, row, d, text)
		return
	}
	bar := f.Inverse()
	f.Fill(row, ' ', bar)
	dot := "●"
	if d.Rec.Elapsed/time.Second%2 == 1 { // stands still when no sound comes
		dot = "○"
	}
	x := f.Text(row.X, row.Y, " "+dot+" REC ", f.RecChip()) + 1
	x = f.TextIn(canvas.Rect{X: x, Y: row.Y, W: row.W / 3, H: 1}, d.Rec.Take.Title(), bar) + 2
	x = f.Text(x, row.Y, elapsedWords(d.Rec), bar) + 2
	rest := canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x - 1, H: 1}
	if d.Rec.Take.Lag > 0 {
		x = f.TextIn(rest, fmt.Sprintf(" LAG %d frames ", d.Rec.Take.Lag), f.RecChip()) + 2
	}
	counts, end := countWords(d), row.X+row.W-1
	for _, k := range words {
		w := canvas.Width(k.text)
		if room := end - x - w - canvas.Width(counts); room < 1 && k.of > 0 || k.of == 2 && room < 28 {
			continue
		}
		end -= w
		f.Text(end, row.Y, k.text, bar)
		f.Hit(canvas.Rect{X: end, Y: row.Y, W: w, H: 1}, widget.Click(k.press))
		end -= 3
	}
	f.TextIn(canvas.Rect{X: x, Y: row.Y, W: end - x, H: 1}, counts, bar)
}

// recWord is a word on the row that answers the mouse.
type recWord struct {
	text  string
	of    int // 0: must be there, 1: where there is room, 2: where there is plenty
	press func() tea.Cmd
}

// recWords are those of the row, from its end.
func recWords(d *desk.Desk) []recWord {
	lock := "UNLOCKED ctrl-g"
	if d.Locked {
		lock = "ctrl-g unlock"
	}
	then := func(do func()) func() tea.Cmd { return func() tea.Cmd { do(); return nil } }
	return []recWord{{"ctrl-r stop", 0, d.RollOrStop}, {"ctrl-t slate", 2, then(d.Slate)}, {"m marker", 0, d.Marker}, {lock, 1, then(d.Unlock)}}
}

func drawBrokenOff(f *widget.Frame, row canvas.Rect, d *desk.Desk, text string) {
	bar := f.Inverse()
	f.Fill(row, ' ', bar)
	x := f.Text(row.X, row.Y, " ■ NOT RECORDING ", f.RecChip()) + 1
	const seen = "esc: seen"
	f.TextRight(row.Inset(1, 0), seen, bar)
	text = strings.TrimPrefix(text, "recording stopped: ") // the chip says so
	f.TextIn(canvas.Rect{X: x, Y: row.Y, W: row.X + row.W - x - len(seen) - 3, H: 1}, text, bar)
	f.Hit(row.Right(len(seen)+1), widget.Click(func() tea.Cmd { d.Rig.SeenFailure(); return nil }))
}

func elapsedWords(s take.Status) string {
	text := format.Clock(s.Elapsed)
	if s.Take.RoomTone {
		text += " of " + format.Clock(take.RoomToneSeconds*time.Second)
	}
	return text
}

// countWords sums up what has happened in the take.
func countWords(d *desk.Desk) string {
	var words []string
	if d.Status.Kind == capture.Demo {
		words = append(words, "OF THE DEMO SCENE")
	}
	for _, c := range []struct {
		n    int64
		word string
	}{{d.Rec.Take.Levels.Clips, "clip"}, {d.Rec.Take.Dropouts, "frame lost"}, {int64(len(d.Rec.Take.Markers)), "marker"}} {
		if c.n > 0 {
			words = append(words, format.Plural(c.n, c.word))
		}
	}
	return strings.Join(words, ", ")
}

// diskWords is the time that can still be recorded, none if nobody knows.
func diskWords(d *desk.Desk) state {
	low := slices.ContainsFunc(d.Rec.Alarms, func(a take.Alarm) bool { return a.Kind == verdict.DiskLow })
	left := d.Rec.DiskLeft
	switch minutes := int(left.Minutes()); {
	case left < 0:
		return state{}
	case low && minutes < 2:
		return state{" DISK LOW " + strconv.Itoa(int(left.Seconds())) + " s ", true}
	case low:
		return state{" DISK LOW " + strconv.Itoa(minutes) + " min ", true}
	case minutes >= 100*60:
		return state{"disk > 99 h", false}
	case minutes >= 120:
		return state{"disk " + strconv.Itoa(minutes/60) + " h", false}
	default:
		return state{"disk " + strconv.Itoa(minutes) + " min", false}
	}
}
