// Package format writes figures, times and texts for people, and reads what they type.
package format

import (
	"math"
	"strconv"
	"strings"

	words "rollready/dsp/figure"
	"rollready/tui/canvas"
)

// Figure writes a level or gain with one decimal: "−12.3", "−∞" in silence.
func Figure(v float64) string {
	if math.Abs(v) > 199 {
		v = math.Copysign(math.Inf(1), v)
	}
	return words.Text(v, 1)
}

// Signed is figure with a plus sign.
func Signed(v float64) string {
	if math.Round(v*10) > 0 {
		return "+" + Figure(v)
	}
	return Figure(v)
}

// Hertz writes a frequency: "80 Hz", "1.25 kHz".
func Hertz(hz float64) string {
	if hz >= 1000 {
		return strconv.FormatFloat(math.Round(hz/10)/100, 'f', -1, 64) + " kHz"
	}
	if hz >= 100 {
		return strconv.FormatFloat(math.Round(hz), 'f', -1, 64) + " Hz"
	}
	return strconv.FormatFloat(math.Round(hz*10)/10, 'f', -1, 64) + " Hz"
}

// PadLeft puts blanks before a text up to so many cells.
func PadLeft(s string, cells int) string {
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

// ParseNumber reads what a person types: "−6", "+6,5 dB", "1.2k".
func ParseNumber(text string) (float64, bool) {
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

// FigurePlain writes a number without needless decimals.
func FigurePlain(v float64) string { return words.Text(v, -1) }

// FigureInt writes a whole number.
func FigureInt(v int) string { return words.Text(float64(v), 0) }

// SignedInt is FigureInt with a plus sign.
func SignedInt(v int) string {
	if v > 0 {
		return "+" + strconv.Itoa(v)
	}
	return FigureInt(v)
}

// Wrap breaks a text into lines of at most so many cells, between words.
func Wrap(text string, cells int) []string {
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

// InBrief shortens what to do to so many cells, where it can: without the last
// sentence or clause, then without the reason before the colon.
func InBrief(text string, cells int) string {
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

// Rate writes a sample rate: "44.1 kHz".
func Rate(hz int) string { return strconv.FormatFloat(float64(hz)/1000, 'f', -1, 64) + " kHz" }

// Whole writes a figure without decimals, "–" where it is unknown.
func Whole(v float64) string {
	if math.IsNaN(v) {
		return "–"
	}
	return FigureInt(int(math.Round(v)))
}

// Plural counts things: "1 clip", "2 frames lost".
func Plural(n int64, word string) string {
	one, rest, _ := strings.Cut(word, " ")
	if n != 1 {
		one += "s"
	}
	return strings.TrimSpace(strconv.FormatInt(n, 10) + " " + one + " " + rest)
}
