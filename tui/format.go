package tui

import (
	"math"
	"strconv"
	"strings"

	words "rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/tui/canvas"
)

// figure writes a level or gain with one decimal: "−12.3", "−∞" in silence.
func figure(v float64) string {
	if math.Abs(v) > 199 {
		v = math.Copysign(math.Inf(1), v)
	}
	return words.Text(v, 1)
}

// signed is figure with a plus sign.
func signed(v float64) string {
	if math.Round(v*10) > 0 {
		return "+" + figure(v)
	}
	return figure(v)
}

// hertz writes a frequency: "80 Hz", "1.25 kHz".
func hertz(hz float64) string {
	if hz >= 1000 {
		return strconv.FormatFloat(math.Round(hz/10)/100, 'f', -1, 64) + " kHz"
	}
	if hz >= 100 {
		return strconv.FormatFloat(math.Round(hz), 'f', -1, 64) + " Hz"
	}
	return strconv.FormatFloat(math.Round(hz*10)/10, 'f', -1, 64) + " Hz"
}

// cutWords writes a filter's setting: "80 Hz 24 dB/oct", "off".
func cutWords(c filter.Cut) string {
	if !c.On() {
		return "off"
	}
	return hertz(c.Hz) + " " + strconv.Itoa(c.Slope) + " dB/oct"
}

// padLeft puts blanks before a text up to so many cells.
func padLeft(s string, cells int) string {
	const blanks = "                "
	n := 0
	for range s {
		n++
	}
	if n >= cells {
		return s
	}
	return blanks[:min(cells-n, len(blanks))] + s
}

// parseNumber reads what a person types: "−6", "+6,5 dB", "1.2k".
func parseNumber(text string) (float64, bool) {
	s := strings.ToLower(strings.TrimSpace(text))
	s = strings.NewReplacer("−", "-", ",", ".", " ", "").Replace(s)
	for _, unit := range []string{"dbfs", "db", "hz", "s"} {
		s = strings.TrimSuffix(s, unit)
	}
	factor := 1.0
	if k, ok := strings.CutSuffix(s, "k"); ok {
		s, factor = k, 1000
	}
	v, err := strconv.ParseFloat(s, 64)
	return v * factor, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// figurePlain writes a number without needless decimals.
func figurePlain(v float64) string { return words.Text(v, -1) }

// figureInt writes a whole number.
func figureInt(v int) string { return words.Text(float64(v), 0) }

func signedInt(v int) string {
	if v > 0 {
		return "+" + strconv.Itoa(v)
	}
	return figureInt(v)
}

// wrap breaks a text into lines of at most so many cells, between words.
func wrap(text string, cells int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && canvas.Width(line)+1+canvas.Width(word) > cells {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// inBrief shortens what to do to so many cells, where it can: without the last
// sentence or clause, then without the reason before the colon.
func inBrief(text string, cells int) string {
	for canvas.Width(text) > cells {
		if at := max(strings.LastIndex(text, ". "), strings.LastIndex(text, "; ")); at > 0 {
			text = text[:at] + "."
		} else if _, do, found := strings.Cut(text, ": "); found {
			text = strings.ToUpper(do[:1]) + do[1:]
		} else {
			break
		}
	}
	return text
}
