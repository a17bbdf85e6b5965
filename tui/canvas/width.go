package canvas

import (
	"sync"

	"github.com/charmbracelet/x/ansi"
)

// runeWidth is the cells a rune takes: 0 for those that are not drawn. It is
// the only place that knows: what is drawn, cut and sent goes by it.
func runeWidth(r rune) int {
	switch {
	case r >= 0x20 && r < 0x7f:
		return 1
	case r < 0xa0 || r == 0xfffd:
		return 0
	case int(r) < len(widths()):
		return int(widths()[r])
	}
	return ansi.StringWidth(string(r))
}

// widths are those of the alphabets, signs, lines, blocks and dots that nearly
// all text is made of.
var widths = sync.OnceValue(func() *[0x3000]uint8 {
	var all [0x3000]uint8
	for r := range all {
		all[r] = uint8(ansi.StringWidth(string(rune(r))))
	}
	return &all
})

// Width is the number of cells a text takes.
func Width(text string) int {
	n := 0
	for _, r := range text {
		n += runeWidth(r)
	}
	return n
}

// Cut shortens a text to a number of cells, with "…" at the end where
// something was left out.
func Cut(text string, cells int) string {
	if len(text) <= cells || Width(text) <= cells {
		return text
	}
	n := 0
	for i, r := range text {
		if n += runeWidth(r); n > cells-1 {
			return text[:i] + "…"[:min(3, 3*max(cells, 0))]
		}
	}
	return text
}

// CutMiddle shortens a text to a number of cells, with "…" for what is left out
// in its middle: of an error the end tells why.
func CutMiddle(text string, cells int) string {
	if Width(text) <= cells {
		return text
	}
	all := []rune(text)
	from, to := len(all)/2, len(all)/2
	for from > 0 && Width(string(all[:from]))+Width(string(all[to:])) >= cells {
		from, to = from-1, min(to+1, len(all))
	}
	return Cut(string(all[:from])+"…"+string(all[to:]), cells)
}
