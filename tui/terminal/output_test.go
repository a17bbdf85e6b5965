package terminal

import (
	"bytes"
	"fmt"
	"io"
	"math/rand"
	"os"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// glass is a small terminal: it shows what was written to it.
type glass struct {
	w, h, x, y int
	cells      []string
	style      string
}

func newGlass(w, h int) *glass { return &glass{w: w, h: h, cells: make([]string, w*h)} }

func (g *glass) write(b []byte) {
	for len(b) > 0 {
		switch {
		case b[0] == esc:
			b = g.sequence(b)
			continue
		case b[0] == '\r':
			g.x = 0
		case b[0] == '\n':
			g.y++
		default:
			r, n := utf8.DecodeRune(b)
			g.cells[g.y*g.w+g.x] = g.style + string(r)
			g.x++
			if runeCells(r) == 2 {
				g.cells[g.y*g.w+g.x] = ""
				g.x++
			}
			b = b[n:]
			continue
		}
		b = b[1:]
	}
}

func (g *glass) sequence(b []byte) []byte {
	end := bytes.IndexFunc(b[2:], func(r rune) bool { return r >= 0x40 }) + 2
	args := strings.Split(string(b[2:end]), ";")
	n, _ := strconv.Atoi(args[0])
	switch b[end] {
	case 'm':
		g.style = string(b[:end+1])
	case 'C':
		g.x += max(n, 1)
	case 'H':
		g.x, g.y = 0, max(n, 1)-1
		if len(args) > 1 {
			col, _ := strconv.Atoi(args[1])
			g.x = max(col, 1) - 1
		}
	default:
		panic(fmt.Sprintf("sequence %q", b[:end+1]))
	}
	return b[end+1:]
}

// randomLine is a line of w cells in a few styles, some of them wide.
func randomLine(rnd *rand.Rand, w int) string {
	var b strings.Builder
	for x := 0; x < w; {
		if x == 0 || rnd.Intn(5) == 0 {
			fmt.Fprintf(&b, "\x1b[0;%dm", 30+rnd.Intn(4))
		}
		r := []rune(" a█▁⠿麦")[rnd.Intn(6)]
		if runeCells(r) == 2 && x+2 > w {
			r = 'x'
		}
		b.WriteRune(r)
		x += runeCells(r)
	}
	return b.String()
}

// TestChangedCellsShowTheSame: frames sent whole and sent as changes end in
// the same picture, with redraws and foreign sequences between them.
func TestChangedCellsShowTheSame(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	for range 30 {
		w, h := 1+rnd.Intn(40), 2+rnd.Intn(12)
		file, sent := pipe(t)
		out := &Output{File: file}
		plain, thrifty := newGlass(w, h), newGlass(w, h)
		lines := make([]string, h)
		for frame := range 40 {
			var b strings.Builder
			b.WriteString("\x1b[H")
			for y := range lines {
				if frame == 0 || rnd.Intn(3) == 0 {
					lines[y] = randomLine(rnd, w)
					b.WriteString(lines[y])
					b.WriteString("\r")
				}
				if y < h-1 {
					b.WriteByte('\n')
				}
			}
			fmt.Fprintf(&b, "\x1b[%d;1H", h)
			if rnd.Intn(10) == 0 {
				out.Redraw()
			}
			whole := strings.ReplaceAll(b.String(), "\r\x1b", "\x1b") // the last line has no return
			_, err := out.Write([]byte(whole))
			require.NoError(t, err)
			plain.write([]byte(whole))
			thrifty.write(sent())
			require.Equal(t, plain.cells, thrifty.cells, "frame %d of %d × %d", frame, w, h)
		}
	}
}

// pipe gives a file to write to and a function that gives what was written.
func pipe(t *testing.T) (*os.File, func() []byte) {
	f, err := os.CreateTemp(t.TempDir(), "out")
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	var read int64
	return f, func() []byte {
		b, err := io.ReadAll(io.NewSectionReader(f, read, 1<<30))
		require.NoError(t, err)
		read += int64(len(b))
		return b
	}
}

func TestUnchangedFrameSendsNothing(t *testing.T) {
	file, sent := pipe(t)
	out := &Output{File: file}
	frame := []byte("\x1b[H\x1b[0mab\r\n\x1b[0mcd\x1b[2;1H")
	_, _ = out.Write(frame)
	require.NotEmpty(t, sent())
	_, _ = out.Write(frame)
	require.Empty(t, sent())
	_, _ = out.Write([]byte("\x1b[H\n\x1b[0mcx\x1b[2;1H"))
	require.Equal(t, "\x1b[2;2H\x1b[0mx\x1b[0m", string(sent()))
}

func TestForeignSequencesGoThrough(t *testing.T) {
	file, sent := pipe(t)
	out := &Output{File: file}
	for _, s := range []string{"\x1b[?1049h", "\x1b[2J", "\x1b[H", "plain", "\x1b[Hab\x1b[K\r\ncd"} {
		n, err := out.Write([]byte(s))
		require.NoError(t, err)
		require.Equal(t, len(s), n)
		require.Equal(t, s, string(sent()))
	}
}

func TestRestoreOnce(t *testing.T) {
	file, sent := pipe(t)
	term := New(file, file)
	term.Restore()
	term.Restore()
	require.Equal(t, clean, string(sent()))
}
