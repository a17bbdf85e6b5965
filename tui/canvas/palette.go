package canvas

import (
	"image/color"
	"strconv"
	"strings"

	"github.com/charmbracelet/colorprofile"
	"github.com/charmbracelet/x/ansi"
)

// Palette turns styles into the terminal's sequences. It never changes.
type Palette struct{ fg, bg []string }

// NewPalette takes the colours as "#rrggbb" by index, "" for the terminal's
// own, and what the terminal can show.
func NewPalette(profile colorprofile.Profile, colors []string) *Palette {
	p := &Palette{}
	for _, hex := range colors {
		fg, bg := "39", "49"
		if c := shown(profile, hex); c != nil {
			fg, bg = code(ansi.NewStyle().ForegroundColor(c)), code(ansi.NewStyle().BackgroundColor(c))
		}
		p.fg, p.bg = append(p.fg, fg), append(p.bg, bg)
	}
	return p
}

// shown is the colour as the terminal can show it, nil for its own.
func shown(profile colorprofile.Profile, hex string) color.Color {
	rgb, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 24)
	if err != nil || profile <= colorprofile.ASCII {
		return nil
	}
	return profile.Convert(color.RGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 255})
}

// code is the part of a style's sequence between "ESC [" and "m".
func code(s ansi.Style) string {
	return strings.TrimSuffix(strings.TrimPrefix(s.String(), "\x1b["), "m")
}

// attributes are the codes that switch an attribute on and off.
var attributes = [...]struct {
	attr    Attr
	on, off string
}{{Bold, "1", "22"}, {Underline, "4", "24"}, {Reverse, "7", "27"}}

// change appends what leads from one style to another.
func (p *Palette) change(out []byte, from, to Style) []byte {
	if from == to {
		return out
	}
	begin := len(out)
	part := func(code string) { out = append(append(out, code...), ';') }
	out = append(out, "\x1b["...)
	for _, a := range attributes {
		switch was, is := from.Attr&a.attr != 0, to.Attr&a.attr != 0; {
		case is && !was:
			part(a.on)
		case was && !is:
			part(a.off)
		}
	}
	if p.fg[from.FG] != p.fg[to.FG] {
		part(p.fg[to.FG])
	}
	if p.bg[from.BG] != p.bg[to.BG] {
		part(p.bg[to.BG])
	}
	if out[len(out)-1] == '[' { // colours that this terminal shows alike
		return out[:begin]
	}
	out[len(out)-1] = 'm'
	return out
}
