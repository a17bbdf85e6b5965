package terminal

import (
	"bytes"
	"os"
	"regexp"
	"unicode/utf8"
)

// Input hands on whole sequences only. The library that reads keys does so in
// pieces of 256 bytes; a mouse report torn at the end of a piece would become
// keys nobody pressed.
type Input struct {
	*os.File
	whole splitter
}

// most is the longest piece handed on: less than the reader's buffer, which
// would otherwise wait for more before it believes the last key.
const most = 255

// Read gives the whole sequences that have arrived. It may give none and no
// error when only the beginning of one has.
func (in *Input) Read(p []byte) (int, error) {
	room := min(len(p), most) - len(in.whole.held)
	if room <= 0 {
		return copy(p, in.whole.flush()), nil
	}
	n, err := in.File.Read(p[:room])
	if n == 0 {
		return 0, err
	}
	return copy(p, in.whole.add(p[:n], n == room)), err
}

// splitter cuts a stream of bytes at the borders of sequences.
type splitter struct {
	held   []byte // beginning of a sequence whose end has not arrived
	escape bool   // the last piece ended in a bare escape
}

// longest is the longest sequence that is waited for.
const longest = 48

// debris is what is left of a mouse report whose escape was taken for a key.
var debris = regexp.MustCompile(`^\[<\d+;\d+;\d+[Mm]`)

// add takes the next bytes and gives those that may go on. full says that
// more bytes are surely waiting.
func (s *splitter) add(b []byte, full bool) []byte {
	all := append(s.held, b...)
	if s.escape {
		all = all[len(debris.Find(all)):]
	}
	cut := border(all, full)
	if len(all)-cut > longest {
		cut = len(all)
	}
	s.held = append([]byte(nil), all[cut:]...)
	s.escape = cut > 0 && all[cut-1] == esc
	return all[:cut]
}

func (s *splitter) flush() []byte {
	all := s.held
	s.held = nil
	return all
}

const esc = 0x1b

// border is where the last whole sequence ends.
func border(b []byte, full bool) int {
	if i := bytes.LastIndexByte(b, esc); i >= 0 && torn(b[i:], full) {
		return i
	}
	for n := 1; n <= min(3, len(b)); n++ {
		if tail := b[len(b)-n:]; utf8.RuneStart(tail[0]) {
			if !utf8.FullRune(tail) {
				return len(b) - n
			}
			break
		}
	}
	return len(b)
}

// torn tells whether s, which begins with the last escape, lacks its end. A
// bare escape is a key, unless more is surely coming.
func torn(s []byte, full bool) bool {
	if len(s) == 1 {
		return full
	}
	switch s[1] {
	case 'O':
		return len(s) == 2 && full
	case '[':
		if len(s) > 2 && s[2] == 'M' {
			return len(s) < 6
		}
		for _, c := range s[2:] {
			if c >= 0x40 && c <= 0x7e {
				return false
			}
		}
		return len(s) > 2 || full
	}
	return false
}
