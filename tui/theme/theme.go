// Package theme holds the looks of the program. Colours that carry a meaning
// are those of Okabe and Ito, published as safe for colour-blind readers, and
// never stand without the word; without colour the fill pattern says the same.
package theme

import (
	"github.com/charmbracelet/colorprofile"

	"rollready/dsp/camera"
	"rollready/tui/canvas"
)

// The colours by what they are for.
const (
	None   canvas.Color = iota
	Ground              // of the whole screen
	Panel               // of strips and fields
	Ink                 // text
	Dim                 // text that may be overlooked
	Rule                // axes and tracks
	Bar                 // level of a band or of the input
	Hold                // hold marks
	Curve               // response of the chain
	Room                // measured room tone
	Choice              // what the keys act on
	Low
	Target
	Hot
	Over
	Window // ground of the target window
	OnZone // text on a zone's colour
	Demo   // ground of the demo's label
	colors
)

// Theme is one look. Made by New, used by one goroutine.
type Theme struct {
	Name    string
	Palette *canvas.Palette
	Mono    bool
}

// Names lists the themes in the order of the key that changes them.
var Names = [...]string{"night", "day", "mono"}

// Next is the name of the theme after this one.
func Next(name string) string {
	for i, n := range Names {
		if n == name {
			return Names[(i+1)%len(Names)]
		}
	}
	return Names[0]
}

// New gives a theme by name, night where there is none of it. A terminal
// without colours gets mono.
func New(name string, profile colorprofile.Profile) *Theme {
	if profile <= colorprofile.ASCII {
		name = "mono"
	}
	switch name {
	case "mono":
		blank := make([]string, colors)
		return &Theme{Name: name, Mono: true, Palette: canvas.NewPalette(colorprofile.ASCII, blank)}
	case "day":
		return &Theme{Name: name, Palette: canvas.NewPalette(profile, day())}
	default:
		return &Theme{Name: "night", Palette: canvas.NewPalette(profile, night())}
	}
}

// Hex gives the colours of night as "#rrggbb" by their index, for pictures.
func Hex() []string { return night() }

func night() []string {
	return []string{
		Ground: "#10151b", Panel: "#1c242d", Ink: "#eceff1", Dim: "#8d99a6", Rule: "#46525e",
		Bar: "#9db4c9", Hold: "#ffffff", Curve: "#cc79a7", Room: "#009e73", Choice: "#56b4e9",
		Low: "#56b4e9", Target: "#009e73", Hot: "#e69f00", Over: "#d55e00",
		Window: "#14382f", OnZone: "#000000", Demo: "#f0e442",
	}
}

func day() []string {
	return []string{
		Ground: "#ffffff", Panel: "#e9edf0", Ink: "#000000", Dim: "#49525b", Rule: "#98a2ab",
		Bar: "#41566b", Hold: "#000000", Curve: "#b0417f", Room: "#0f7a5a", Choice: "#00629e",
		Low: "#56b4e9", Target: "#009e73", Hot: "#e69f00", Over: "#d55e00",
		Window: "#c5e8dc", OnZone: "#000000", Demo: "#f0e442",
	}
}

// Style is text in a colour on the screen's ground.
func (t *Theme) Style(c canvas.Color) canvas.Style { return canvas.Style{FG: c, BG: Ground} }

// Strong is bold text in a colour.
func (t *Theme) Strong(c canvas.Color) canvas.Style { return t.Style(c).With(canvas.Bold) }

// Chip is text on a colour: a word that must be seen.
func (t *Theme) Chip(bg canvas.Color) canvas.Style {
	s := canvas.Style{FG: OnZone, BG: bg, Attr: canvas.Bold}
	if t.Mono {
		s.Attr |= canvas.Reverse
	}
	return s
}

// Inverse is the bar that must be seen before all else: the ink as the ground.
func (t *Theme) Inverse() canvas.Style {
	if t.Mono {
		return canvas.Style{Attr: canvas.Bold | canvas.Reverse}
	}
	return canvas.Style{FG: Ground, BG: Ink, Attr: canvas.Bold}
}

// RecChip is the word on that bar that says that a take rolls.
func (t *Theme) RecChip() canvas.Style {
	if t.Mono {
		return canvas.Style{Attr: canvas.Bold}
	}
	return canvas.Style{FG: OnZone, BG: Over, Attr: canvas.Bold}
}

// Chosen is text the keys act on.
func (t *Theme) Chosen() canvas.Style {
	if t.Mono {
		return canvas.Style{Attr: canvas.Bold | canvas.Reverse}
	}
	return t.Strong(Choice)
}

// Zone gives the colour of a zone and the rune that fills a bar in it.
func (t *Theme) Zone(z camera.Zone) (canvas.Color, rune) {
	color, pattern := Low, '░'
	switch z {
	case camera.Target:
		color, pattern = Target, '▒'
	case camera.Hot:
		color, pattern = Hot, '▓'
	case camera.Over:
		color, pattern = Over, '█'
	}
	if !t.Mono {
		pattern = '█'
	}
	return color, pattern
}
