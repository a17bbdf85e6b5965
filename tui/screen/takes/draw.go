package takes

import (
	"path/filepath"
	"strconv"
	"strings"

	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/dsp/plain"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// Draw shows the list on the left, the chosen take on the right.
func (t *takeList) Draw(f *widget.Frame, area canvas.Rect) {
	area = area.Inset(1, 0).Rows(1, area.H-1)
	left := area.Left(min(max(area.W/3, 34), 52))
	t.drawNext(f, left)
	list := left.Rows(3, left.H-3)
	if len(t.items) == 0 {
		for i, line := range format.Wrap("No takes here yet: ctrl-r rolls one, ctrl-o records room tone.", list.W) {
			f.TextIn(list.Row(i), line, f.Style(theme.Dim))
		}
	}
	t.list.Draw(f, list, func(i int, at canvas.Rect, chosen bool) { t.drawItem(f, t.item(i), at, chosen) })
	if t.list.At < len(t.items) {
		d := takeDetails{frame: f, desk: t.desk, pairs: t.pairs, area: area.Skip(left.W + 2)}
		d.draw(t.item(t.list.At))
	}
}

// drawNext says what the next take will be and where it goes.
func (t *takeList) drawNext(f *widget.Frame, area canvas.Rect) {
	d := t.desk
	text := "Next: " + take.Take{Scene: d.Settings.Recording.Scene, Number: d.Next}.Title()
	if d.Rec.Rolling {
		text = "Rolling: " + d.Rec.Take.Title()
	}
	f.TextIn(area, text, f.Strong(theme.Ink))
	f.TextIn(area.Row(1), format.ShortPath(d.Rig.Recorder().Folder()), f.Style(theme.Dim))
}

func (t *takeList) drawItem(f *widget.Frame, item take.Found, at canvas.Rect, chosen bool) {
	style := f.Style(theme.Ink)
	if chosen {
		style = f.Chosen().On(theme.Panel)
		f.Fill(at, ' ', style)
		f.Set(at.X, at.Y, '▸', style)
	}
	name, tag := item.Take.Title(), t.tag(item)
	if item.Err != nil {
		name = filepath.Base(item.Take.Path)
	}
	right := canvas.Rect{X: at.X, Y: at.Y, W: at.W - 1, H: 1}
	length := format.Clock(item.Take.Duration())
	f.TextRight(right, tag, style)
	const tagCells = 9
	f.TextRight(right.Left(right.W-tagCells), length, style)
	const whenCells = 7
	room := at.Skip(2).Left(at.W - tagCells - 10)
	if at.W >= 42 && item.Err == nil {
		f.TextIn(room, item.Take.Start("15:04", "–"), style)
		room = room.Skip(whenCells)
	}
	x := f.TextIn(room, name, style) + 1
	f.TextIn(canvas.Rect{X: x, Y: at.Y, W: room.X + room.W - x, H: 1}, t.clipsTag(item.Take, room.X+room.W-x), style)
}

// clipsTag tells how many clips were found of a take, as its room allows.
func (t *takeList) clipsTag(f take.Take, cells int) string {
	n := len(t.pairs.Of(f.Path))
	if n == 0 {
		return ""
	}
	for _, text := range []string{"+ " + format.Plural(int64(n), "clip"), "+" + strconv.Itoa(n)} {
		if canvas.Width(text) <= cells {
			return text
		}
	}
	return ""
}

// tag is the one word that matters most about a take.
func (t *takeList) tag(item take.Found) string {
	word, _ := item.Take.Verdict()
	switch {
	case item.Err != nil:
		return "broken"
	case t.desk.Rec.Rolling && t.desk.Rec.Take.Path == item.Take.Path:
		return "● REC"
	case t.desk.IsPlaying(item.Take):
		return "playing"
	case word == take.Unjudged: // in the background
		return "judging"
	case item.Take.Circled && word == take.Listen: // good, but not to be taken for clean
		return "◉ " + word
	case item.Take.Circled:
		return "◉ good"
	}
	return word
}

// takeDetails writes down an area, line by line.
type takeDetails struct {
	frame *widget.Frame
	desk  *desk.Desk
	pairs dailies.Pairs
	area  canvas.Rect
	y     int
}

func (d *takeDetails) row() canvas.Rect { return d.area.Row(d.y) }

func (d *takeDetails) text(text string, s canvas.Style) {
	for _, line := range format.Wrap(text, d.area.W) {
		d.frame.TextIn(d.row(), line, s)
		d.y++
	}
}

func (d *takeDetails) draw(item take.Found) {
	f, t := d.frame, item.Take
	if item.Err != nil {
		d.text(filepath.Base(t.Path), f.Strong(theme.Ink))
		d.text(item.Err.Error(), f.Style(theme.Ink))
		return
	}
	d.head(t)
	d.verdict(t)
	d.y++
	if t.Note != "" {
		d.text("“"+t.Note+"”", f.Style(theme.Ink))
		d.y++
	}
	if t.State != take.Rolling {
		d.levels(t)
		d.picture(t)
	}
	d.log(t)
}

// head is the title, when, how long, and as what.
func (d *takeDetails) head(t take.Take) {
	f := d.frame
	x := f.TextIn(d.row(), t.Title(), f.Strong(theme.Ink)) + 2
	if t.Circled {
		f.Text(x, d.area.Y, " GOOD ", f.Chip(theme.Target))
	}
	d.y++
	when := t.Start("2 Jan 2006 15:04:05", "start unknown") + ", " + format.Clock(t.Duration()) + " long"
	if lead := format.Duration(t.LeadFrames, t.RateHz); lead > 0 {
		when += ", " + format.Clock(lead) + " before the key"
	}
	d.text(when, f.Style(theme.Dim))
	d.text(strings.Join([]string{filepath.Base(t.Path), t.Encoding, format.Rate(t.RateHz), trackWords(t)}, ", "), f.Style(theme.Dim))
	if clips := d.pairs.Words(t.Path); clips != "" {
		d.text("Clips: "+plain.Text(clips), f.Style(theme.Dim))
	}
	d.y++
}

// verdict says whether the take was clean, or what to listen for.
func (d *takeDetails) verdict(t take.Take) {
	f := d.frame
	if t.State == take.Rolling && d.desk.Rec.Rolling && d.desk.Rec.Take.Path == t.Path {
		f.Text(d.area.X, d.row().Y, " ROLLING ", f.RecChip())
		d.y++
		return
	}
	word, why := t.Verdict()
	chip := f.Chip(theme.Target)
	if word != "clean" {
		chip = f.Chip(theme.Hot)
	}
	x := f.TextIn(d.row(), " "+strings.ToUpper(word)+" ", chip) + 2
	rest := canvas.Rect{X: x, Y: d.row().Y, W: d.area.X + d.area.W - x, H: max(d.area.H-d.y, 0)}
	lines := format.Wrap(strings.Join(why, "; "), max(rest.W, 1))
	for i, line := range lines {
		f.TextIn(rest.Row(i), line, f.Style(theme.Ink))
	}
	d.y += len(lines)
}
