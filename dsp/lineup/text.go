package lineup

import (
	"fmt"
	"math"
	"strings"

	"rollready/dsp/figure"
)

// Text is a whole line-up in lines: what to do first, then figures and response.
func (r Result) Text() string {
	var b strings.Builder
	for _, line := range r.Advice {
		fmt.Fprintf(&b, "→ %s\n", line)
	}
	b.WriteString("\n")
	for _, w := range r.Words() {
		fmt.Fprintf(&b, "%-16s %s\n", w.Name, w.Value)
	}
	b.WriteString(responseText(r.Response))
	return b.String()
}

// Range of the plot in dB against 1 kHz, half a decibel to a column.
const (
	plotLow  = -18.0
	plotHigh = 6.0
)

// responseText is table and plot in one: a line for each frequency, a mark on
// a scale of decibels.
func responseText(points []Point) string {
	if len(points) == 0 {
		return "\nfrequency response: not measured (the sweep was clipped or levelled)\n"
	}
	var b strings.Builder
	figure.Fprintf(&b, "\nfrequency response against 1 kHz in dB\n%18s%-11.0f %-11.0f %-11.0f %-11.0f %.0f\n", "", plotLow, -12.0, -6.0, 0.0, plotHigh)
	for _, p := range points {
		figure.Fprintf(&b, "%7.7g Hz %6.1f %s\n", p.Hz, p.LevelDB, plotLine(p.LevelDB))
	}
	return b.String()
}

func plotLine(level float64) string {
	column := func(db float64) int { return int(math.Round(2 * (db - plotLow))) }
	line := []rune(strings.Repeat(" ", column(plotHigh)+1))
	for db := plotLow; db <= plotHigh; db += 6 {
		line[column(db)] = '·'
	}
	switch {
	case level < plotLow:
		line[0] = '<'
	case level > plotHigh:
		line[len(line)-1] = '>'
	default:
		line[column(level)] = '#'
	}
	return strings.TrimRight(string(line), " ")
}
