package lineup

import (
	"errors"
	"math"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/dsp/gainplan"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

func (l *lineUp) askPlanOutput() tea.Cmd {
	return l.desk.Ask("Our output for 0 dBFS, like +4dBu, 300mV or unknown:", "", func(text string) (tea.Cmd, error) {
		v, err := gainplan.ParseLevel(text)
		if err == nil {
			l.plan.Output = v
		}
		return nil, err
	})
}

func (l *lineUp) askPad() tea.Cmd {
	return l.desk.Ask("Pad in the cable in dB, 0 for none:", format.FigurePlain(l.plan.PadDB), func(text string) (tea.Cmd, error) {
		v, ok := format.ParseNumber(text)
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
			level = format.FigurePlain(math.Round(100*s.FullScale.DBV())/100) + "dBV"
		}
		texts = append(texts, s.Name+"="+level)
	}
	return l.desk.Ask("Mic levels and the input for 0 dBFS, like low=-30dBV:", strings.Join(texts, ", "), func(text string) (tea.Cmd, error) {
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
func (l *lineUp) drawPlan(f *widget.Frame, area canvas.Rect) {
	f.TextIn(area, "On paper: makers' figures", f.Strong(theme.Ink))
	landings, y := l.plan.Land(), 2
	if len(landings) == 0 {
		y += l.drawWrapped(f, area.Rows(1, area.H-1), theme.Dim,
			"Type what is known: our output at full scale, the pad, and for each mic-level setting the input that reads 0 dBFS. What is unknown stays unknown.")
		l.drawCautions(f, area.Rows(y, area.H-y))
		return
	}
	columns := [...]int{0, area.W - 27, area.W - 16, area.W - 7}
	if area.W < 38 { // the name counts for more than where −20 dBFS lands
		columns[1] = columns[2]
	}
	drawLanding(f, area.Row(y), columns, [...]string{"setting", "−20 at", "pad", "noise"}, f.Style(theme.Dim))
	best := gainplan.Best(landings)
	for i, at := range landings {
		y++
		style := f.Style(theme.Ink)
		if i == best {
			style = f.Strong(theme.Target)
		}
		drawLanding(f, area.Row(y), columns, [...]string{
			at.Name, at.AlignsAt.String() + " dBFS", changed(float64(at.PadDB)) + " dB", format.Whole(float64(at.LossDB)) + " dB"}, style)
	}
	y += 2
	if best >= 0 {
		y += l.drawWrapped(f, area.Rows(y, area.H-y), theme.Ink, gainplan.Choice(landings)) + 1
	}
	l.drawCautions(f, area.Rows(y, area.H-y))
}

// drawLanding writes a row of the plan; a column without room is left out.
func drawLanding(f *widget.Frame, row canvas.Rect, columns [4]int, texts [4]string, style canvas.Style) {
	for i, text := range texts {
		end := row.W + 1
		if i+1 < len(columns) {
			end = columns[i+1]
		}
		f.TextIn(row.Skip(columns[i]).Left(end-columns[i]-1), text, style)
	}
}

// changed writes by how much a pad is to change.
func changed(v float64) string {
	if v > 0 {
		return "+" + format.Whole(v)
	}
	return format.Whole(v)
}
