package canvas

// sets are runes that one of ASCII stands for on terminals that have no others:
// bars by how full they are, lines by their direction.
var sets = map[rune]string{
	'#': "█▉▊▋▇▓▐▀▘▝▖▗▚▞▛▜▙▟⠿⣿", '=': "▌▆━", '-': "▍▎▏▔─−–—", '|': "│┃▕▅", ':': "▃▄▒", '.': "▁▂·…┈░",
	'+': "┏┓┗┛┌┐└┘├┤┬┴┼✓", '/': "╱", '^': "▲▴↑", 'v': "▼▾↓", '>': "▸►→", '<': "◂◄←", '*': "●◆◉", 'o': "○◇",
	'"': "“”″", '\'': "‘’′", 'x': "×", '~': "∞", '_': "⣀",
}

var asciiOf = func() map[rune]rune {
	all := map[rune]rune{}
	for to, set := range sets {
		for _, r := range set {
			all[r] = to
		}
	}
	return all
}()

// ASCII gives the rune that stands for r on a terminal with ASCII alone: "?"
// where none is like it.
func ASCII(r rune) rune {
	if r < 0x80 {
		return r
	}
	if to, has := asciiOf[r]; has {
		return to
	}
	if r >= 0x2800 && r <= 0x28ff { // dots of a curve
		return '.'
	}
	return '?'
}
