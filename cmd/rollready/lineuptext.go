package main

import (
	"fmt"
	"math"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/lineup"
)

// row is one figure of a line-up in words.
type row struct{ name, value string }

// lineupRows are the figures of a line-up, in reading order.
func lineupRows(r lineup.Result) []row {
	return []row{
		{"offset", worded(r.OffsetDB, "%+.1f dB")},
		{"clips", clipText(r)},
		{"automatic level", automaticText(r.AutomaticLevel)},
		{"limiter", automaticText(r.Limiter)},
		{"noise", noiseText(r)},
		{"usable range", worded(r.UsableDB, "%.0f dB")},
		{"distortion", worded(r.DistortionPercent, "%.2f %% at -20 dBFS output")},
		{"polarity", string(r.Polarity)},
		{"channels", channelsText(r)},
		{"clock", fmt.Sprintf("%+.1f ppm at %d Hz", r.ClockPPM, r.RateHz)},
		{"low cut", cutText(r, r.LowCut)},
		{"high cut", cutText(r, r.HighCut)},
		{"target window", fmt.Sprintf("%.1f to %.1f dBFS on the camera", r.Target.LowDBFS, r.Target.HighDBFS)},
	}
}

// lineupText is a whole line-up: what to do first, then figures and response.
func lineupText(r lineup.Result) string {
	var b strings.Builder
	for _, line := range r.Advice {
		fmt.Fprintf(&b, "→ %s\n", line)
	}
	b.WriteString("\n")
	for _, row := range lineupRows(r) {
		fmt.Fprintf(&b, "%-16s %s\n", row.name, row.value)
	}
	b.WriteString(responseText(r.Response))
	return b.String()
}

// worded words a figure, "none" where it is missing.
func worded(f figure.Figure, format string) string {
	if !f.Known() {
		return "none"
	}
	return fmt.Sprintf(format, float64(f))
}

func noiseText(r lineup.Result) string {
	if !r.NoiseDBFS.Known() {
		return "none: the silence is digital"
	}
	return worded(r.NoiseDBFS, "%.1f dBFS") + ", A-weighted " + worded(r.NoiseDBA, "%.1f dBFS")
}

func clipText(r lineup.Result) string {
	if !r.ClipDBFS.Known() {
		return "never, up to -1 dBFS output"
	}
	return fmt.Sprintf("at %.1f dBFS output, %.1f dBFS on the camera (%s; 1 %% distortion at %s, 0.5 dB lost at %s)",
		float64(r.ClipDBFS), float64(r.ClipDBFS+r.OffsetDB), r.Clip.Kind,
		worded(r.Clip.OnePercentDBFS, "%.1f"), worded(r.Clip.CompressionDBFS, "%.1f"))
}

func automaticText(a lineup.Automatic) string {
	if !a.On {
		return "off"
	}
	return fmt.Sprintf("ON: attack %s, release %s", worded(a.AttackMS, "%.0f ms"), worded(a.ReleaseMS, "%.0f ms"))
}

func channelsText(r lineup.Result) string {
	var list []string
	for i, c := range r.Channels {
		text := fmt.Sprintf("%d carries %s", i+1, c.Carries)
		if c.Carries != lineup.Nothing {
			text += " at " + worded(c.OffsetDB, "%+.1f dB")
		}
		if c.Carries != lineup.Nothing && c.Polarity != r.Polarity {
			text += ", " + string(c.Polarity)
		}
		list = append(list, text)
	}
	return string(r.Wiring) + " (" + strings.Join(list, "; ") + ")"
}

func cutText(r lineup.Result, c lineup.Cut) string {
	switch {
	case len(r.Response) == 0:
		return "not measured"
	case c.Slope == 0:
		return "none"
	}
	return fmt.Sprintf("%.0f Hz, %d dB per octave", c.Hz, c.Slope)
}

// Range of the plot in dB against 1 kHz, half a decibel to a column.
const (
	plotLow  = -18.0
	plotHigh = 6.0
)

// responseText is table and plot in one: a line for each frequency, a mark on
// a scale of decibels.
func responseText(points []lineup.Point) string {
	if len(points) == 0 {
		return "\nfrequency response: not measured (the sweep was clipped or levelled)\n"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "\nfrequency response against 1 kHz in dB\n%18s%-11.0f %-11.0f %-11.0f %-11.0f %.0f\n", "", plotLow, -12.0, -6.0, 0.0, plotHigh)
	for _, p := range points {
		fmt.Fprintf(&b, "%7.7g Hz %6.1f %s\n", p.Hz, math.Round(10*p.LevelDB)/10+0, plotLine(p.LevelDB))
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
