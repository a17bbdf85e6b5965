package tui

import (
	"strconv"

	"rollready/capture/power"
	"rollready/tui/canvas"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// drawTabs shows the screens by number and name; where there is no room for
// all names, only the open one has its own. At the right end stand disk and
// battery, as far as there is room; where they run low, before the names.
func (r *root) drawTabs(row canvas.Rect) {
	f := &r.frame
	bar := canvas.Style{FG: theme.Dim, BG: theme.Panel}
	f.Fill(row, ' ', bar)
	names := 1
	for _, s := range r.all {
		names += canvas.Width(s.Name()) + 3
	}
	wide := row.W >= names
	end := row.Inset(1, 0)
	for _, state := range r.states() {
		w := canvas.Width(state.text)
		if w == 0 || !state.bad && end.W-w-2 < names {
			continue
		}
		style := bar
		if state.bad {
			style = f.Chip(theme.Over)
		}
		f.TextRight(end, state.text, style)
		end.W -= w + 2
		wide = end.W+1 >= names
	}
	x, apart := row.X, 1
	if wide && end.W+1 >= names+len(r.all) {
		apart = 0
	}
	for i, s := range r.all {
		name, style := " "+strconv.Itoa(i+1)+" ", bar
		if i == r.open || wide {
			name += s.Name() + " "
		}
		if i == r.open {
			style = openTab(f)
		}
		from := x
		x = f.Text(x, row.Y, name, style) - apart
		f.Hit(canvas.Rect{X: from, Y: row.Y, W: x - from, H: 1}, r.tabs[i])
	}
}

// state is a word at the end of the tabs.
type state struct {
	text string
	bad  bool
}

func (r *root) states() [2]state {
	return [2]state{batteryWords(r.desk.Battery), diskWords(r.desk)}
}

func openTab(f *widget.Frame) canvas.Style {
	s := f.Strong(theme.Ink)
	if f.Mono {
		s.Attr |= canvas.Reverse
	}
	return s
}

func batteryWords(b power.Battery) state {
	percent := strconv.Itoa(b.Percent) + " %"
	switch b.State {
	case power.Charging:
		return state{"battery " + percent + ", on mains", false}
	case power.Draining:
		if b.Low() {
			return state{" BATTERY LOW " + percent + " ", true}
		}
		return state{"battery " + percent, false}
	}
	return state{}
}
