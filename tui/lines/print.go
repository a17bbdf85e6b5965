package lines

import (
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/lipgloss/table"

	"rollready/dsp/plain"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
)

// Table prints rows in aligned columns without space at their ends; the first
// row is the heading, on a terminal bold. Text may be of any source: names of
// files and devices stay on their line.
func Table(w io.Writer, rows [][]string) error {
	look := lipgloss.NewRenderer(w)
	t := table.New().Border(lipgloss.Border{}).BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).
		BorderColumn(false).BorderHeader(false).
		StyleFunc(func(row, _ int) lipgloss.Style {
			return look.NewStyle().Bold(row == table.HeaderRow).PaddingRight(3)
		})
	for i, row := range rows {
		cells := make([]string, len(row))
		for k, cell := range row {
			cells[k] = plain.Text(cell)
		}
		if i == 0 {
			t.Headers(cells...)
		} else {
			t.Row(cells...)
		}
	}
	for _, line := range strings.Split(t.Render(), "\n") {
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " ")); err != nil {
			return err
		}
	}
	return nil
}

// Folded gives the rows of a table with no cell wider than so many cells: what is
// longer goes on in the next row.
func Folded(rows [][]string, cells int) (folded [][]string) {
	for _, row := range rows {
		lines, most := make([][]string, len(row)), 0
		for i, text := range row {
			lines[i] = format.Wrap(plain.Text(text), cells)
			most = max(most, len(lines[i]))
		}
		for n := range most {
			next := make([]string, len(row))
			for i, of := range lines {
				if n < len(of) {
					next[i] = of[n]
				}
			}
			folded = append(folded, next)
		}
	}
	return folded
}

// Paragraph writes a text in lines of at most 80 cells behind a mark.
func Paragraph(w io.Writer, mark, text string) {
	for _, line := range format.Wrap(plain.Text(text), 80-len(mark)) {
		fmt.Fprintln(w, mark+line)
		mark = strings.Repeat(" ", len(mark))
	}
}

// Findings writes findings one below the other, their severity in the
// colour that the screens give it.
func Findings(w io.Writer, findings []verdict.Finding) {
	look := lipgloss.NewRenderer(w)
	for _, f := range findings {
		colour := lipgloss.Color(theme.Hex()[theme.Low])
		if at, grave := severityColour[f.Severity]; grave {
			colour = lipgloss.Color(theme.Hex()[at])
		}
		fmt.Fprintf(w, "\n  %s %s\n           %s\n", look.NewStyle().Bold(true).Foreground(colour).Width(8).Render(string(f.Severity)), f.Message, f.Action)
	}
}

var severityColour = map[verdict.Severity]canvas.Color{verdict.Stop: theme.Over, verdict.Caution: theme.Hot}
