//go:build proof && linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"syscall"
	"testing"
	"time"
)

// inTerminal is the program in a terminal of its own, without a shell.
type inTerminal struct {
	cmd   *exec.Cmd
	ours  *os.File
	mu    sync.Mutex
	shown bytes.Buffer // all that was drawn
	since int          // where waitFor looks from
	done  chan struct{}
}

// startInTerminal runs the program in a terminal of 80 × 24 and reads what it
// draws until end.
func startInTerminal(t *testing.T, args, env []string) (*inTerminal, error) {
	ours, theirs := openTerminal(t)
	p := &inTerminal{cmd: exec.Command(binary, args...), ours: ours, done: make(chan struct{})}
	p.cmd.Env = append(env, "TERM=xterm-256color", "COLORTERM=truecolor")
	p.cmd.Stdin, p.cmd.Stdout, p.cmd.Stderr = theirs, theirs, theirs
	p.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	err := p.cmd.Start()
	theirs.Close()
	go p.read()
	return p, err
}

func (p *inTerminal) read() {
	defer close(p.done)
	for block := make([]byte, 65536); ; {
		n, err := p.ours.Read(block)
		p.mu.Lock()
		p.shown.Write(block[:n])
		p.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// waitFor waits until a word is drawn that was not there at the last waitFor.
func (p *inTerminal) waitFor(word string) error {
	for end := time.Now().Add(2 * time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		p.mu.Lock()
		at := bytes.Index(p.shown.Bytes()[p.since:], []byte(word))
		if at >= 0 {
			p.since += at + len(word)
		}
		p.mu.Unlock()
		if at >= 0 {
			return nil
		}
	}
	return fmt.Errorf("never drawn: %q", word)
}

func (p *inTerminal) press(keys string) { _, _ = p.ours.WriteString(keys) }

// end kills the program if it still runs, and closes the terminal.
func (p *inTerminal) end() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
	<-p.done // its end of the terminal is closed
	p.ours.Close()
}
