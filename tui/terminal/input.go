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
	held []byte // beginning of a sequence whose end has not arrived
	gone string // beginning of what may be a mouse report that went on as keys
}

// longest is the longest sequence that is waited for.
const longest = 48

// report is a mouse report, partly the beginning of one.
var (
	report = regexp.MustCompile(`^\x1b\[<\d+;\d+;\d+[Mm]`)
	partly = regexp.MustCompile(`^\x1b\[<[\d;]*$`)
)

// add takes the next bytes and gives those that may go on. full says that
// more bytes are surely waiting.
func (s *splitter) add(b []byte, full bool) []byte {
	all := append(s.held, b...)
	if s.gone != "" {
		whole := append([]byte(s.gone), all...)
		if partly.Match(whole) && len(all) < longest {
			s.held = all
			return nil
		}
		if n := len(report.Find(whole)); n > 0 { // debris: its beginning was taken for a key
			all = whole[n:]
		}
	}
	cut := border(all, full)
	if len(all)-cut > longest {
		cut = len(all)
	}
	s.held = append([]byte(nil), all[cut:]...)
	s.letGo(all[:cut])
	return all[:cut]
}

// letGo notes when what goes on ends like the beginning of a mouse report.
func (s *splitter) letGo(b []byte) {
	switch {
	case len(b) > 0 && b[len(b)-1] == esc:
		s.gone = "\x1b"
	case s.gone == "\x1b" && string(b) == "[":
		s.gone = "\x1b["
	case len(b) > 0:
		s.gone = ""
	}
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
		return len(s) == 2
	case '[':
		if len(s) > 2 && s[2] == 'M' {
			return len(s) < 6
		}
		for _, c := range s[2:] {
			if c >= 0x40 && c <= 0x7e {
				return false
			}
		}
		return true
	}
	return false
}
