package tui

import (
	"errors"
	"math"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"rollready/dsp/gainplan"
	"rollready/tui/canvas"
	"rollready/tui/theme"
)

func (l *lineUp) askPlanOutput() tea.Cmd {
	return l.desk.Ask("Our output's level for a sine at 0 dBFS, like +4dBu, 300mV or unknown:", "", func(text string) (tea.Cmd, error) {
		v, err := gainplan.ParseLevel(text)
		if err == nil {
			l.plan.Output = v
		}
		return nil, err
	})
}

func (l *lineUp) askPad() tea.Cmd {
	return l.desk.Ask("Pad in the cable in dB, 0 for none:", figurePlain(l.plan.PadDB), func(text string) (tea.Cmd, error) {
		v, ok := parseNumber(text)
		if !ok {
			return nil, errors.New("type a figure, like 20")
		}
		if err := gainplan.CheckPad(v); err != nil {
			return nil, err
		}
		l.plan.PadDB = v
		return nil, nil
	})
}

func (l *lineUp) askSettings() tea.Cmd {
	var texts []string
	for _, s := range l.plan.Settings {
		level := "unknown"
		if s.FullScale.Known() {
			level = figurePlain(math.Round(100*s.FullScale.DBV())/100) + "dBV"
		}
		texts = append(texts, s.Name+"="+level)
	}
	return l.desk.Ask("Mic-level settings and the input that reads 0 dBFS, like low=-30dBV, line=2V:", strings.Join(texts, ", "), func(text string) (tea.Cmd, error) {
		var list []gainplan.Setting
		for _, part := range strings.Split(text, ",") {
			if part = strings.TrimSpace(part); part == "" {
				continue
			}
			s, err := gainplan.ParseSetting(part)
			if err != nil {
				return nil, err
			}
			list = append(list, s)
		}
		l.plan.Settings = list
		return nil, nil
	})
}

// drawPlan shows where our output lands at each setting.
func (l *lineUp) drawPlan(f *Frame, area canvas.Rect) {
	f.TextIn(area, "On paper, from the makers' figures", f.Strong(theme.Ink))
	y := 1 + l.drawWrapped(f, area.Rows(1, area.H-1), theme.Dim,
		"Type what is known: our output at full scale, the pad, and for each mic-level setting the input that reads 0 dBFS. What is unknown stays unknown.") + 1
	landings := l.plan.Land()
	if len(landings) == 0 {
		l.drawCautions(f, area.Rows(y, area.H-y))
		return
	}
	columns := [...]int{0, area.W - 27, area.W - 16, area.W - 7}
	for i, head := range [...]string{"setting", "−20 at", "add pad", "noise"} {
		f.TextIn(area.Row(y).Skip(columns[i]), head, f.Style(theme.Dim))
	}
	best := gainplan.Best(landings)
	for i, at := range landings {
		y++
		style := f.Style(theme.Ink)
		if i == best {
			style = f.Strong(theme.Target)
		}
		row := area.Row(y)
		f.TextIn(row.Left(columns[1]-1), at.Setting.Name, style)
		f.TextIn(row.Skip(columns[1]), figure(at.AlignsAt)+" dBFS", style)
		f.TextIn(row.Skip(columns[2]), whole(at.PadDB)+" dB", style)
		f.TextIn(row.Skip(columns[3]), whole(at.LossDB)+" dB", style)
	}
	y += 2
	if best >= 0 {
		y += l.drawWrapped(f, area.Rows(y, area.H-y), theme.Ink, "Choose "+landings[best].Setting.Name+": "+landings[best].Advice+".") + 1
	}
	l.drawCautions(f, area.Rows(y, area.H-y))
}

// whole writes a figure without decimals, "–" where it is unknown.
func whole(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return figureInt(int(math.Round(v)))
}
