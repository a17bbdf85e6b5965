package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/lipgloss/table"
	"github.com/charmbracelet/x/ansi"

	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

// columns prints lines of text in aligned columns: on a terminal with a bold
// heading, elsewhere plain.
type columns struct {
	to    io.Writer
	bold  lipgloss.Style
	table *table.Table
}

// newColumns begins with a heading; without any there is none.
func newColumns(w io.Writer, heading ...string) *columns {
	look := lipgloss.NewRenderer(w)
	c := &columns{to: w, bold: look.NewStyle().Bold(true), table: table.New()}
	c.table.Border(lipgloss.Border{}).BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).
		BorderColumn(false).BorderHeader(false).
		StyleFunc(func(row, _ int) lipgloss.Style {
			if row == table.HeaderRow {
				return c.bold.PaddingRight(3)
			}
			return look.NewStyle().PaddingRight(3)
		})
	c.table.Headers(shown(heading)...)
	return c
}

// row takes text of any source: names of files and devices stay on their line.
func (c *columns) row(cells ...string) { c.table.Row(shown(cells)...) }

func shown(cells []string) []string {
	text := make([]string, len(cells))
	for i, cell := range cells {
		text[i] = plain.Text(cell)
	}
	return text
}

// print writes the lines without the space at their ends.
func (c *columns) print() error {
	for _, line := range strings.Split(c.table.Render(), "\n") {
		if _, err := fmt.Fprintln(c.to, strings.TrimRight(line, " ")); err != nil {
			return err
		}
	}
	return nil
}

// table prints rows in aligned columns, the first one as their heading.
func (a *app) table(rows [][]string) error {
	c := newColumns(a.stdout, rows[0]...)
	for _, r := range rows[1:] {
		c.row(r...)
	}
	return c.print()
}

// paragraph writes a text in lines of at most 80 cells behind a mark.
func paragraph(w io.Writer, mark, text string) {
	lines := strings.Split(ansi.Wordwrap(plain.Text(text), 80-ansi.StringWidth(mark), ""), "\n")
	for _, line := range lines {
		fmt.Fprintln(w, mark+line)
		mark = strings.Repeat(" ", ansi.StringWidth(mark))
	}
}

// writeFindings writes findings one below the other, their severity in the
// colour that the screens give it.
func writeFindings(w io.Writer, findings []verdict.Finding) {
	look := lipgloss.NewRenderer(w)
	for _, f := range findings {
		word := look.NewStyle().Bold(true).Foreground(severityColour(f.Severity)).Width(8).Render(string(f.Severity))
		fmt.Fprintf(w, "\n  %s %s\n           %s\n", word, f.Message, f.Action)
	}
}

// severityColour is from the set of Okabe and Ito: vermillion, orange, sky blue.
func severityColour(s verdict.Severity) lipgloss.Color {
	switch s {
	case verdict.Stop:
		return "#D55E00"
	case verdict.Caution:
		return "#E69F00"
	default:
		return "#56B4E9"
	}
}
