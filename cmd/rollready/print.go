package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/lipgloss/table"
	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"rollready/dsp/plain"
	"rollready/dsp/verdict"
	"rollready/presets/whole"
	"rollready/tui/canvas"
	"rollready/tui/format"
	"rollready/tui/theme"
)

// jsonFlag lets a command print for scripts.
func (a *app) jsonFlag(cmd *cobra.Command, usage string) {
	cmd.Flags().BoolVar(&a.json, "json", false, usage)
}

// say prints a value for scripts where --json is given, else text for people.
func (a *app) say(value any, text func() error) error {
	if a.json {
		return a.printJSON(value)
	}
	return text()
}

// printJSON writes a value on one line, whole or not at all.
func (a *app) printJSON(value any) error {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	_, err := a.stdout.Write(plain.JSON(line.Bytes()))
	return err
}

// toStdout in place of a file's name is the terminal, for text of any kind.
// Sound goes to files only.
const toStdout = "-"

// put writes to a file, whole or not at all, or to the terminal.
func (a *app) put(path string, raw []byte) error {
	switch path {
	case "":
		return nil
	case toStdout:
		_, err := a.stdout.Write(raw)
		return err
	}
	return whole.Write(path, raw, 0o644)
}

// table prints rows in aligned columns without space at their ends; the first
// row is the heading, on a terminal bold. Text may be of any source: names of
// files and devices stay on their line.
func (a *app) table(rows [][]string) error {
	look := lipgloss.NewRenderer(a.stdout)
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
		if _, err := fmt.Fprintln(a.stdout, strings.TrimRight(line, " ")); err != nil {
			return err
		}
	}
	return nil
}

// paragraph writes a text in lines of at most 80 cells behind a mark.
func paragraph(w io.Writer, mark, text string) {
	for _, line := range format.Wrap(plain.Text(text), 80-len(mark)) {
		fmt.Fprintln(w, mark+line)
		mark = strings.Repeat(" ", len(mark))
	}
}

// writeFindings writes findings one below the other, their severity in the
// colour that the screens give it.
func writeFindings(w io.Writer, findings []verdict.Finding) {
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

// isTerminal tells whether a person sits at a stream.
func isTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

const (
	progressEvery = 100 * time.Millisecond
	progressBegin = 300 * time.Millisecond // what is done sooner needs none
	barWidth      = 30
)

// showProgress keeps a line on a terminal, elsewhere nothing. stop takes it
// away; only its first call does something.
func showProgress(w io.Writer, line func() string) (stop func()) {
	if !isTerminal(w) {
		return func() {}
	}
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		defer fmt.Fprint(w, "\r\x1b[K")
		for wait := progressBegin; ; wait = progressEvery {
			select {
			case <-end:
				return
			case <-time.After(wait):
				fmt.Fprintf(w, "\r\x1b[K%s", line())
			}
		}
	}()
	return sync.OnceFunc(func() { close(end); <-ended })
}

// showBar shows how much of a piece of work is done, and how long the rest
// will take.
func showBar(w io.Writer, what string, all int64) (show func(done int64), stop func()) {
	var done atomic.Int64
	begun := time.Now()
	return done.Store, showProgress(w, func() string {
		share := min(1, float64(done.Load())/float64(max(1, all)))
		left := time.Duration(float64(time.Since(begun)) * (1 - share) / max(share, 1e-9))
		return fmt.Sprintf("%s  %s %3.0f %%  %s left", what, drawBar(share), 100*share, left.Round(time.Second))
	})
}

func drawBar(share float64) string {
	full := int(share * barWidth)
	return strings.Repeat("█", full) + strings.Repeat("·", barWidth-full)
}
