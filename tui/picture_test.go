package tui

import (
	"fmt"
	"html"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/tui/canvas"
	"rollready/tui/theme"
)

// documented are the pictures in the documents: of which moment, in which size, where.
var documented = []struct {
	moment   string
	w, h     int
	document string
}{
	{"monitor", 120, 40, "README.md"},
	{"lineup", 100, 30, "cmd/rollready/help/line-up.md"},
}

// TestPicturesInTheReadmeAndTheHelp draws the pictures anew: they are what the
// program shows. UPDATE_GOLDEN=1 writes them.
func TestPicturesInTheReadmeAndTheHelp(t *testing.T) {
	for _, p := range documented {
		file := "testdata/" + p.moment + ".svg"
		r := screenCases()[p.moment].at(t, func(_ *fakeEngine, o *Options) { o.parts.Sound.(*fakeSound).feedCamera(at(-6)) }, p.w, p.h)
		look(r)
		drawn := asSVG(r.frame.Canvas, theme.Hex())
		if os.Getenv("UPDATE_GOLDEN") != "" {
			require.NoError(t, os.WriteFile(file, []byte(drawn), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		require.True(t, string(want) == drawn, "%s is not what the program shows: UPDATE_GOLDEN=1, and look at it", file)
		document, err := os.ReadFile("../" + p.document)
		require.NoError(t, err)
		require.Contains(t, string(document), "tui/"+file+")")
	}
}

const cellWide, cellHigh = 8, 17 // of the picture, in its units

// asSVG draws a canvas: grounds and blocks as rectangles, all else as text.
func asSVG(c *canvas.Canvas, colors []string) string {
	var b strings.Builder
	all := c.Bounds()
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="monospace" font-size="13.3" shape-rendering="crispEdges">`+"\n", all.W*cellWide, all.H*cellHigh)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", colors[theme.Ground])
	for _, draw := range []func(*strings.Builder, []rune, canvas.Style, int, int, []string){drawGround, drawBlocks, drawWords} {
		for y := range all.H {
			for x := 0; x < all.W; {
				runes, style := runAt(c, x, y)
				draw(&b, runes, style, x, y, colors)
				x += len(runes)
			}
		}
	}
	return b.String() + "</svg>\n"
}

// runAt gives the cells from a place on that look alike.
func runAt(c *canvas.Canvas, x, y int) (runes []rune, style canvas.Style) {
	_, style = c.At(x, y)
	for ; x < c.Bounds().W; x++ {
		r, s := c.At(x, y)
		if s != style {
			break
		}
		runes = append(runes, r)
	}
	return runes, style
}

func rectangle(b *strings.Builder, x, y, w, h float64, fill, more string) {
	fmt.Fprintf(b, `<rect x="%g" y="%g" width="%g" height="%g" fill="%s"%s/>`+"\n", x, y, w, h, fill, more)
}

func drawGround(b *strings.Builder, runes []rune, s canvas.Style, x, y int, colors []string) {
	if s.BG != theme.Ground && s.BG != theme.None {
		rectangle(b, float64(x*cellWide), float64(y*cellHigh), float64(len(runes)*cellWide), cellHigh, colors[s.BG], "")
	}
}

// drawBlocks draws the block elements of Unicode, U+2580 to U+2595, in place
// of a font, which leaves gaps.
func drawBlocks(b *strings.Builder, runes []rune, s canvas.Style, x, y int, colors []string) {
	for i := 0; i < len(runes); i++ {
		r, n := runes[i], 1
		for i+n < len(runes) && runes[i+n] == r {
			n++ // a row of full or low blocks is one rectangle
		}
		if r >= '\u2589' && r <= '\u2590' || r == '\u2595' {
			n = 1
		}
		left, top, wide := float64((x+i)*cellWide), float64(y*cellHigh), float64(n*cellWide)
		switch {
		case r == '▀':
			rectangle(b, left, top, wide, cellHigh/2.0, colors[s.FG], "")
		case r >= '▁' && r <= '█':
			high := float64(r-'▀') / 8 * cellHigh
			rectangle(b, left, top+cellHigh-high, wide, high, colors[s.FG], "")
		case r >= '▉' && r <= '▏':
			rectangle(b, left, top, float64('▐'-r)/8*cellWide, cellHigh, colors[s.FG], "")
		case r == '▐':
			rectangle(b, left+cellWide/2.0, top, cellWide/2.0, cellHigh, colors[s.FG], "")
		case r >= '░' && r <= '▓':
			rectangle(b, left, top, wide, cellHigh, colors[s.FG], fmt.Sprintf(` opacity="%g"`, float64(r-'░'+1)/4))
		case r == '▔':
			rectangle(b, left, top, wide, cellHigh/8.0, colors[s.FG], "")
		case r == '▕':
			rectangle(b, left+cellWide*7/8.0, top, cellWide/8.0, cellHigh, colors[s.FG], "")
		}
		i += n - 1
	}
}

func drawWords(b *strings.Builder, runes []rune, s canvas.Style, x, y int, colors []string) {
	text := strings.Map(func(r rune) rune {
		if r >= '\u2580' && r <= '\u2595' {
			return ' '
		}
		return r
	}, string(runes))
	for at, words := 0, strings.FieldsFunc(strings.ReplaceAll(text, "  ", "\x00"), func(r rune) bool { return r == 0 }); len(words) > 0; words = words[1:] {
		word := strings.TrimSpace(words[0])
		if word == "" {
			continue
		}
		at += strings.Index(text[at:], word)
		weight := map[bool]string{true: ` font-weight="bold"`}[s.Attr&canvas.Bold != 0]
		fmt.Fprintf(b, `<text x="%d" y="%d" textLength="%d" lengthAdjust="spacingAndGlyphs" fill="%s"%s>%s</text>`+"\n",
			(x+canvas.Width(text[:at]))*cellWide, y*cellHigh+13, canvas.Width(word)*cellWide, colors[s.FG], weight, html.EscapeString(word))
		at += len(word)
	}
}
