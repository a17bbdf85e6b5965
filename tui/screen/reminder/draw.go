package reminder

import (
	"math"
	"slices"
	"strconv"
	"time"

	"rollready/capture/rig"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// cardRow is one row of the card.
type cardRow struct {
	text  string
	style canvas.Style
	line  int  // whose row it is, −1: nobody's
	first bool // of its line
}

// Draw shows the card in the middle: its lines, and under them the cautions.
func (r *reminder) Draw(f *widget.Frame, area canvas.Rect) {
	w := min(area.W-4, 92)
	box := canvas.Rect{X: area.X + (area.W-w)/2, Y: area.Y + min(1+area.H/12, 4), W: w, H: area.H}.Clip(area)
	r.at = max(min(r.at, len(r.lines())-1), 0)
	r.rows = r.cardRows(f, w)
	r.card.Fit(box, len(r.rows))
	if r.seek {
		r.card.Show(r.place())
		r.seek = false
	}
	r.card.Draw(f, func(i int, at canvas.Rect) { r.drawRow(f, r.rows[i], at) })
}

// place gives the first and the last row of the chosen line.
func (r *reminder) place() (from, to int) {
	of := func(row cardRow) bool { return row.line == r.at }
	from = max(slices.IndexFunc(r.rows, of), 0)
	to = from
	for to+1 < len(r.rows) && of(r.rows[to+1]) {
		to++
	}
	return from, to
}

// cardRows breaks all that stands on the card into rows.
func (r *reminder) cardRows(f *widget.Frame, w int) (rows []cardRow) {
	add := func(text string, cells int, style canvas.Style, line int) {
		for i, part := range format.Wrap(text, cells) {
			rows = append(rows, cardRow{part, style, line, i == 0})
		}
	}
	add("Before you roll with "+r.desk.Camera.Name, w, f.Strong(theme.Ink), -1)
	add(r.age(), w, f.Style(theme.Dim), -1)
	trouble := []string{r.otherOutput()}
	for _, found := range r.desk.FeedTrouble() {
		trouble = append(trouble, found.Message+" "+found.Action)
	}
	for _, text := range trouble {
		for _, part := range format.Wrap(text, w-2) {
			if part != "" {
				rows = append(rows, cardRow{" " + part + " ", f.Chip(theme.Hot), -1, false})
			}
		}
	}
	add("", w, f.Style(theme.Ink), -1)
	for i, line := range r.lines() {
		add(line.text, w-7, f.Style(theme.Ink), i)
	}
	add("", w, f.Style(theme.Ink), -1)
	add(r.startWords(), w, f.Style(theme.Dim), -1)
	add("", w, f.Style(theme.Ink), -1)
	for _, text := range Cautions {
		add(text, w, f.Style(theme.Dim), -1)
	}
	return rows
}

func (r *reminder) drawRow(f *widget.Frame, row cardRow, at canvas.Rect) {
	if row.line < 0 {
		f.TextIn(at, row.text, row.style)
		return
	}
	style, box := row.style, "[ ]"
	if r.ticked[r.lines()[row.line].text] {
		style, box = f.Style(theme.Dim), "[✓]"
	}
	if row.line == r.at {
		style = f.Chosen().On(theme.Panel)
		f.Fill(at, ' ', style)
	}
	if row.first {
		f.TextIn(at.Skip(1), box, style)
		if row.line == r.at {
			f.Set(at.X, at.Y, '▸', style)
		}
	}
	f.TextIn(at.Skip(6), row.text, style)
}

func (r *reminder) startWords() string {
	if r.desk.Camera.SkipCard {
		return "This card stays away at the start for this camera (x)."
	}
	return "This card is shown at every start (x)."
}

// age says how old the line-up is: an old one may no longer be true.
func (r *reminder) age() string {
	c := r.desk.Camera
	switch offset := c.Scale.OffsetDB; {
	case c.LinedUp.IsZero() && math.Abs(offset) >= 0.05:
		return "Never lined up: the camera meter shows our own level " + format.Signed(offset) + " dB, an offset set by hand."
	case c.LinedUp.IsZero():
		return "Never lined up: the camera meter shows our own level until it is."
	}
	days := int(r.desk.At.Sub(c.LinedUp) / (24 * time.Hour))
	when := strconv.Itoa(days) + " days ago"
	switch days {
	case 0:
		when = "today"
	case 1:
		when = "yesterday"
	}
	text := "Lined up " + when
	if c.LinedUpWith.Name != "" {
		text += " over " + c.LinedUpWith.Words() + " at " + rig.HeightWords(c.LinedUpVolume)
	}
	if c.LinedUpPreset != "" {
		text += " with preset " + c.LinedUpPreset
	}
	if c.MicLevel != "" {
		text += ", mic level " + c.MicLevel
	}
	return text + "."
}

// otherOutput warns where the line-up was made over another output than the
// one in use, "" where it holds or nothing is known.
func (r *reminder) otherOutput() string {
	d := r.desk
	with := d.Camera.LinedUpWith
	switch {
	case with.Name == "" || len(d.LineUp.Outputs) == 0 || with.Is(d.LineUp.Feeds):
		return ""
	case with.Name == d.LineUp.Feeds.Name:
		stale := verdict.LineUpStale(rig.OtherOutput(with, d.LineUp.Feeds))
		return stale.Message + " " + stale.Action
	case !slices.ContainsFunc(d.LineUp.Outputs, func(o rig.Device) bool { return with.Is(o.Output()) }):
		return with.Name + " is not connected: over another output the camera meter is wrong until you line up again."
	}
	return "Now in use: " + d.LineUp.Feeds.Name + ". The camera meter is wrong until you line up over it, or change the output."
}

// Cautions are the words of care.
var Cautions = [...]string{
	"Headphones: start low. Loud sound harms hearing; follow WHO/ITU H.870 and your local rules.",
	"Speakers near an open microphone howl.",
	"A camera's mic jack may carry plug-in power and expects millivolts: use a pad and a DC block or an isolating transformer as the makers advise; when in doubt ask a qualified technician.",
	"The figures here help to set levels; they are not a sound exposure measurement.",
}
