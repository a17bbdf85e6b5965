// Package terminal stands between the program and the terminal: whole
// sequences in, pictures out, and a clean terminal whatever happens.
//
// It asks the terminal nothing. Some never answer, and a program that waits
// for an answer shows its first picture seconds late.
package terminal

import (
	"cmp"
	"errors"
	"io"
	"os"
	"runtime"
	"strings"
	"sync"
	"time"

	uv "github.com/charmbracelet/ultraviolet"
	"github.com/charmbracelet/x/term"

	"rollready/tui/canvas"
)

// Terminal is the terminal a program runs on.
type Terminal struct {
	In      *Input
	Out     *canvas.Painter
	console uv.Console
	once    sync.Once
}

// asciiAlone tells, by the environment, whether the terminal shows ASCII alone:
// the user's locale is not UTF-8, or it is the Linux console or an old terminal,
// whose fonts lack the eighths of a block. Windows' consoles have them.
func asciiAlone(system string, env func(string) string) bool {
	if system == "windows" {
		return false
	}
	switch env("TERM") {
	case "linux", "vt100", "vt102", "vt220":
		return true
	}
	locale := strings.ToLower(cmp.Or(env("LC_ALL"), env("LC_CTYPE"), env("LANG")))
	return locale != "" && !strings.Contains(locale, "utf-8") && !strings.Contains(locale, "utf8")
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
	t := &Terminal{In: &Input{File: in}, Out: canvas.NewPainter(out), console: uv.NewConsole(in, out, nil)}
	t.Out.ASCII = asciiAlone(runtime.GOOS, os.Getenv)
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

// What a screen program switches on, and off again: second screen, hidden
// cursor, mouse with its motion while pressed, focus and paste reports.
const (
	begin = "\x1b[?1049h\x1b[2J\x1b[?25l\x1b[?1002h\x1b[?1006h\x1b[?1004h\x1b[?2004h"
	clean = "\x1b[?1002l\x1b[?1006l\x1b[?1004l\x1b[?2004l\x1b[0m\x1b[?25h\x1b[?1049l"
)

// patience is how long a terminal that stopped reading is waited for.
const patience = time.Second

// Enter takes the terminal for the screens.
func (t *Terminal) Enter() error {
	if _, err := t.console.MakeRaw(); err != nil {
		return err
	}
	t.Out.Begin(begin)
	return nil
}

// Leave gives the terminal back as it was; Enter may follow.
func (t *Terminal) Leave() {
	t.Out.End(clean, patience)
	_ = t.console.Restore()
}

// Restore leaves the terminal for good. Any goroutine, any number of times;
// only the first does something.
func (t *Terminal) Restore() { t.once.Do(t.Leave) }

// Size is the size in cells.
func (t *Terminal) Size() (w, h int, err error) { return t.console.GetSize() }
