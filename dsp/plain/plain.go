// Package plain makes text from elsewhere fit to be shown: names of files and
// devices, what a recording says of itself, errors of other programs. Such
// text can hold what a terminal obeys, breaks a line or a table, or turns the
// order of letters round.
package plain

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Text gives s on one line, with a visible sign in place of each control
// character, line separator and mark that changes the direction of writing
// (Unicode Standard Annex 9), and of every byte that is not UTF-8. Other text
// comes back as it is.
func Text(s string) string {
	if utf8.ValidString(s) && !strings.ContainsFunc(s, obeyed) {
		return s
	}
	return strings.Map(sign, strings.ToValidUTF8(s, string(utf8.RuneError)))
}

// OneLine keeps an error to one line, however many were joined and whatever
// names are in it.
func OneLine(err error) string {
	return Text(strings.Join(strings.Fields(strings.ReplaceAll(err.Error(), "\n", "; ")), " "))
}

// Lines is Text for a whole page: its lines stay lines.
func Lines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = Text(lines[i])
	}
	return strings.Join(lines, "\n")
}

// sign is what stands for a rune: a control picture where Unicode has one.
func sign(r rune) rune {
	switch {
	case r < ' ':
		return '␀' + r
	case r == '\x7f':
		return '␡'
	case obeyed(r):
		return utf8.RuneError
	}
	return r
}

// obeyed tells whether a rune does something besides being seen.
func obeyed(r rune) bool {
	return unicode.IsControl(r) || unicode.In(r, unicode.Bidi_Control, unicode.Zl, unicode.Zp) || r == '\ufeff'
}

// Cell is Text for a table that a spreadsheet may open: a spreadsheet
// calculates what begins like a formula, so an apostrophe is put before it
// (common practice, no source).
func Cell(s string) string {
	s = Text(s)
	if s != "" && strings.ContainsRune("=+-@", rune(s[0])) {
		return "'" + s
	}
	return s
}

// JSON is Text for what encoding/json has written: it leaves some of those
// characters as they are, and here they become escapes, which say the same.
func JSON(line []byte) []byte {
	if !bytes.ContainsFunc(line, escaped) {
		return line
	}
	var safe []byte
	for _, r := range string(line) {
		if escaped(r) {
			safe = fmt.Appendf(safe, "\\u%04x", r)
		} else {
			safe = utf8.AppendRune(safe, r)
		}
	}
	return safe
}

// escaped leaves out line feeds, which are between the values.
func escaped(r rune) bool { return r != '\n' && obeyed(r) }
