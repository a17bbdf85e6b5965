// Package terminal stands between the program and the terminal: whole
// sequences in, changed cells out, and a clean terminal whatever happens.
package terminal

import (
	"errors"
	"io"
	"os"
	"runtime"
	"sync"
	"unicode/utf8"

	"github.com/charmbracelet/x/term"
	"github.com/mattn/go-runewidth"
)

// Terminal is the terminal a program runs on.
type Terminal struct {
	In    *Input
	Out   *Output
	state *term.State
	once  sync.Once
}

// ErrNone means that there is no terminal to show screens on.
var ErrNone = errors.New("the screen needs a terminal: run this in one, or use watch for readings as lines")

// Open takes the terminal at stdin and stdout; where stdin is something else
// it asks the system for the terminal.
func Open() (*Terminal, error) {
	if !term.IsTerminal(os.Stdout.Fd()) {
		return nil, ErrNone
	}
	in := os.Stdin
	if !term.IsTerminal(in.Fd()) {
		var err error
		if in, err = os.Open("/dev/tty"); err != nil {
			return nil, ErrNone
		}
	}
	return New(in, os.Stdout), nil
}

// New takes the two files as the terminal.
func New(in, out *os.File) *Terminal {
	t := &Terminal{In: &Input{File: in}, Out: &Output{File: out}}
	t.state, _ = term.GetState(in.Fd())
	return t
}

// Reader is what the program reads keys from. Windows' console has its own
// way of reading that needs the plain file.
func (t *Terminal) Reader() io.Reader {
	if runtime.GOOS == "windows" {
		return t.In.File
	}
	return t.In
}

// clean ends what a screen program switches on: mouse, focus and paste
// reports, colours, hidden cursor, second screen.
const clean = "\x1b[?1000l\x1b[?1002l\x1b[?1003l\x1b[?1006l\x1b[?1004l\x1b[?2004l\x1b[0m\x1b[?25h\x1b[?1049l"

// Restore leaves the terminal as it was before the program; nothing is drawn
// from then on. Any goroutine, any number of times; only the first does
// something.
func (t *Terminal) Restore() {
	t.once.Do(func() {
		t.Out.over.Store(true)
		_, _ = t.Out.File.WriteString(clean)
		if t.state != nil {
			_ = term.Restore(t.In.Fd(), t.state)
		}
	})
}

// runeCells is the number of cells a rune takes on the terminal.
func runeCells(r rune) int {
	if r >= ' ' && r < 0x7f || r >= 0x2190 && r < 0x2600 {
		return 1
	}
	narrow := runewidth.Condition{EastAsianWidth: false}
	return narrow.RuneWidth(r)
}

// width is the number of cells of the first line of a frame that is not
// empty, 0 if all are.
func width(frame []byte) int {
	n := 0
	for i := 0; i < len(frame); {
		if frame[i] == esc {
			for i++; i < len(frame) && (frame[i] < 0x40 || frame[i] == '['); i++ {
			}
			i++
			continue
		}
		r, size := rune(frame[i]), 1
		if r >= 0x80 {
			r, size = utf8.DecodeRune(frame[i:])
		}
		if r == '\n' && n > 0 {
			break
		}
		if r >= ' ' {
			n += runeCells(r)
		}
		i += size
	}
	return n
}
