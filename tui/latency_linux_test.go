package tui

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// wire is a program on a pseudo-terminal that answers nothing, and what it
// writes, piece by piece.
type wire struct {
	*testing.T
	ours *os.File
	out  chan []byte
}

func openWire(t *testing.T, w, h uint16) *wire {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	fd := int(ours.Fd())
	require.NoError(t, unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0))
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	require.NoError(t, err)
	p := &wire{t, ours, make(chan []byte, 10000)}
	p.resize(w, h)
	theirs, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	exe, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), homeVariable+"="+t.TempDir(), "TERM=xterm-256color", "COLORTERM=truecolor")
	cmd.Stdin, cmd.Stdout = theirs, theirs
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, cmd.Start())
	theirs.Close()
	t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait(); ours.Close() })
	go func() {
		defer close(p.out)
		for {
			b := make([]byte, 1<<16)
			n, err := ours.Read(b)
			if err != nil {
				return
			}
			p.out <- b[:n]
		}
	}()
	return p
}

func (p *wire) resize(w, h uint16) {
	require.NoError(p, unix.IoctlSetWinsize(int(p.ours.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Row: h, Col: w}))
}

func (p *wire) send(text string) {
	_, err := p.ours.WriteString(text)
	require.NoError(p, err)
}

// until waits for a text in what is written, "" for anything at all, and gives
// all of it.
func (p *wire) until(text string) string {
	p.Helper()
	var all bytes.Buffer
	for late := time.After(time.Minute); ; {
		select {
		case b := <-p.out:
			all.Write(b)
			if strings.Contains(all.String(), text) {
				return all.String()
			}
		case <-late:
			require.FailNow(p, "not written within a minute: "+text, "%q", all.String())
		}
	}
}

// settle waits until nothing has been written for a while.
func (p *wire) settle(quiet time.Duration) {
	for {
		select {
		case <-p.out:
		case <-time.After(quiet):
			return
		}
	}
}

// busy tells that this machine can't be timed: of fifty short sleeps some took
// 5 ms more than they should.
func busy() bool {
	for range 50 {
		began := time.Now()
		time.Sleep(time.Millisecond)
		if time.Since(began) > 6*time.Millisecond {
			return true
		}
	}
	return false
}

// TestTheFirstPictureNeedsNoAnswer: the terminal is asked nothing, and the
// picture comes although it says nothing. How long that took is told.
func TestTheFirstPictureNeedsNoAnswer(t *testing.T) {
	began := time.Now()
	p := openWire(t, 120, 40)
	got := p.until("ctrl-r")
	t.Logf("first picture after %v", time.Since(began).Round(time.Millisecond))
	for _, question := range []string{"\x1b]10;?", "\x1b]11;?", "\x1b]4;", "\x1b[c", "\x1b[>c", "\x1b[6n", "\x1bP"} {
		require.NotContains(t, got, question)
	}
}

// TestKeyToPicture times keys through a pseudo-terminal, one after the other.
// 30 ms at the 99th percentile hold on a machine that has time.
func TestKeyToPicture(t *testing.T) {
	p := openWire(t, 120, 40)
	p.until("ctrl-r")
	p.settle(100 * time.Millisecond)
	wasBusy := busy()
	var took []time.Duration
	for n := range 200 {
		began := time.Now()
		p.send([]string{"\x1b[A", "\x1b[B"}[n/40%2]) // where two are drawn as one, they must not cancel out
		p.until("")
		took = append(took, time.Since(began))
		p.settle(4 * time.Millisecond)
	}
	slices.Sort(took)
	wasBusy = wasBusy || busy()
	t.Logf("key to picture: half within %v, 99 of 100 within %v; busy: %v", took[100], took[197], wasBusy)
	if !wasBusy {
		require.LessOrEqual(t, took[197], 30*time.Millisecond)
	}
}

// TestStormsDoNotQueue: a key after a storm of mouse reports or sizes is
// answered as soon as the storm is read, and few pictures were drawn of it.
func TestStormsDoNotQueue(t *testing.T) {
	for name, storm := range map[string]func(*wire){
		"drags": func(p *wire) {
			p.send("\x1b[<0;20;20M")
			for i := range 4000 {
				p.send(fmt.Sprintf("\x1b[<32;%d;20M", 20+i%90))
			}
		},
		"sizes": func(p *wire) {
			for i := range 400 {
				p.resize(uint16(100+i%20), 40)
			}
			p.resize(120, 40)
		},
	} {
		t.Run(name, func(t *testing.T) {
			p := openWire(t, 120, 40)
			p.until("ctrl-r")
			p.settle(100 * time.Millisecond)
			began := time.Now()
			storm(p)
			calm := time.Now()
			p.send("t")
			written := len(p.until("48;2;255;255;255")) // the ground of the day theme
			t.Logf("storm %v, key after it %v, %d bytes", calm.Sub(began).Round(time.Millisecond), time.Since(calm).Round(time.Millisecond), written)
			slow := 1 + int(time.Since(began).Seconds()) // a machine that reads for seconds draws for seconds
			require.Less(t, written, slow*1_000_000, "not a picture for each")
		})
	}
}
