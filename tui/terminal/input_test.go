package terminal

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"regexp"
	"runtime"
	"strings"
	"testing"
	"time"

	tea "charm.land/bubbletea/v2"
	"github.com/stretchr/testify/require"
)

// token is one whole thing a terminal sends.
var token = regexp.MustCompile(`^(\x1b\[<\d+;\d+;\d+[Mm]|\x1b\[[0-9;?]*[A-Za-z~]|\x1bO[A-Z]|\x1b\[M...|\x1b[a-z]|[^\x1b]|\x1b)`)

var tokens = []string{"\x1b[<35;101;22M", "\x1b[<0;7;3m", "\x1b[A", "\x1b[1;5C", "\x1b[15~", "\x1bOP", "\x1b[M !!", "\x1b[I", "g", "é", "−", "麦", "\r", "\x1ba"}

// TestWholeSequences cuts a stream at every place and in random pieces: what
// goes on is whole, in order, and nothing is lost.
func TestWholeSequences(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 300 {
		var in strings.Builder
		for range 40 {
			in.WriteString(tokens[rnd.Intn(len(tokens))])
		}
		var s splitter
		out, rest := "", in.String()
		for rest != "" {
			n := min(1+rnd.Intn(30), len(rest))
			if rest[n-1] == esc && n < len(rest) { // a bare escape at the end of a read is a key
				n++
			}
			piece := string(s.add([]byte(rest[:n]), n < len(rest)))
			require.Zero(t, len(piece)-wholeLength(piece), "torn: %q", piece)
			out, rest = out+piece, rest[n:]
		}
		require.Equal(t, in.String(), out+string(s.flush()))
	}
}

// Whatever bytes come, in whatever pieces: nothing is made up or put in another
// order, and little is held back.
func FuzzInput(f *testing.F) {
	f.Add([]byte(strings.Join(tokens, "")), uint32(7))
	f.Add([]byte("\x1b[<35;10\x1b[200~\xe9\xba\x1b]11;rgb:0/0/0\x1b\\\x1bP1$r\x1b"), uint32(1))
	f.Fuzz(func(t *testing.T, raw []byte, cuts uint32) {
		var s splitter
		var out []byte
		for rest := raw; len(rest) > 0; cuts = cuts*1664525 + 1013904223 {
			n := min(1+int(cuts>>28), len(rest))
			out = append(out, s.add(rest[:n], n < len(rest))...)
			require.LessOrEqual(t, len(s.held), longest)
			rest = rest[n:]
		}
		from := raw
		for _, b := range append(out, s.flush()...) {
			at := bytes.IndexByte(from, b)
			require.GreaterOrEqual(t, at, 0, "%q of %q", out, raw)
			from = from[at+1:]
		}
	})
}

func wholeLength(s string) int {
	n := 0
	for n < len(s) {
		m := token.FindString(s[n:])
		if m == "" || m == "\x1b" && n+1 < len(s) && strings.ContainsRune("[O", rune(s[n+1])) {
			break
		}
		n += len(m)
	}
	return n
}

func TestBareEscapeIsAKeyAtOnce(t *testing.T) {
	var s splitter
	require.Equal(t, "\x1b", string(s.add([]byte{esc}, false)))
	require.Equal(t, "", string(s.add([]byte{esc}, true)), "more is surely coming")
}

// TestDebrisIsDropped: once the escape of a report went on as a key, the rest
// of it is no key, wherever it is torn again.
func TestDebrisIsDropped(t *testing.T) {
	const rest = "[<35;10;12Mq"
	for a := 1; a < len(rest); a++ {
		for b := a; b < len(rest); b++ {
			var s splitter
			require.Equal(t, "\x1b", string(s.add([]byte{esc}, false)))
			got := ""
			for _, piece := range []string{rest[:a], rest[a:b], rest[b:]} {
				got += string(s.add([]byte(piece), false))
			}
			require.Equal(t, "q", strings.TrimPrefix(got, "["), "torn at %d and %d", a, b)
		}
	}
}

func TestKeysAfterEscapeArriveAtOnce(t *testing.T) {
	var s splitter
	for _, key := range []string{"\x1b", "[", "]", "\x1b", "<", "\x1b", "q"} {
		require.Equal(t, key, string(s.add([]byte(key), false)))
	}
}

func TestEndlessSequenceIsLetGo(t *testing.T) {
	var s splitter
	got := 0
	for range 100 {
		got += len(s.add([]byte("\x1b[0;0;0;0;0;0;0;0"), false))
		require.LessOrEqual(t, len(s.held), longest)
	}
	require.Positive(t, got)
}

// counter counts what reaches a program.
type counter struct {
	mouse, other int
	junk         string
	want         int
}

func (c *counter) Init() tea.Cmd  { return nil }
func (c *counter) View() tea.View { return tea.View{} }
func (c *counter) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch m := msg.(type) {
	case tea.MouseMsg:
		c.mouse++
	case tea.KeyPressMsg:
		c.other++
		c.junk = m.String()
	}
	if c.mouse+c.other >= c.want {
		return c, tea.Quit
	}
	return c, nil
}

// TestFastDragsMakeNoKeys sends bursts of mouse reports through the library
// that reads them: none may arrive as a key.
func TestFastDragsMakeNoKeys(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("the console reads mouse events its own way on Windows")
	}
	const reports = 20000
	r, w, err := os.Pipe()
	require.NoError(t, err)
	defer r.Close()
	go func() {
		defer w.Close()
		var burst strings.Builder
		for i := range reports {
			fmt.Fprintf(&burst, "\x1b[<32;%d;%dM", 1+i%220, 1+i%70)
			if burst.Len() > 3000 || i == reports-1 {
				_, _ = w.WriteString(burst.String())
				burst.Reset()
			}
		}
		time.Sleep(time.Minute) // keep the pipe open; the test ends first
	}()
	c := &counter{want: reports}
	p := tea.NewProgram(c, tea.WithInput(&Input{File: r}), tea.WithoutRenderer(), tea.WithoutSignalHandler())
	stop := time.AfterFunc(time.Minute, p.Kill)
	defer stop.Stop()
	_, err = p.Run()
	require.NoError(t, err)
	require.Zero(t, c.other, "junk key %q", c.junk)
	require.Equal(t, reports, c.mouse)
}

func TestRestoreOnce(t *testing.T) {
	file, err := os.CreateTemp(t.TempDir(), "out")
	require.NoError(t, err)
	defer file.Close()
	term := New(file, file)
	go term.Out.Run()
	term.Out.Begin(begin)
	term.Restore()
	term.Restore()
	sent, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	require.Equal(t, clean, strings.TrimPrefix(string(sent), begin))
}
