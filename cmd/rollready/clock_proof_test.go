//go:build proof && linux && amd64

package main

import (
	"bytes"
	"debug/elf"
	bits "encoding/binary"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// clock is the clock on the wall of programs that this test runs: nobody
// else's. It jumps, as where somebody sets it or a network does; the clock
// that times are measured by goes on evenly, as the kernel's does.
type clock struct {
	t   *testing.T
	dir string
	off time.Duration // whole seconds
}

// clockVariable makes the test binary run the program in its arguments on the
// clock kept in the folder named.
const clockVariable = "ROLLREADY_TEST_CLOCK"

func init() {
	if dir := os.Getenv(clockVariable); dir != "" {
		os.Exit(onClock(dir, os.Args[1:]))
	}
}

func newClock(t *testing.T) *clock {
	c := &clock{t: t, dir: t.TempDir()}
	c.set()
	return c
}

// jump moves the clock, for programs that run and those that are still to come.
func (c *clock) jump(by time.Duration) {
	c.off += by
	c.set()
	time.Sleep(20 * time.Millisecond) // twice what the programs' keepers take to see it
}

func (c *clock) set() {
	path := filepath.Join(c.dir, "seconds")
	require.NoError(c.t, os.WriteFile(path+".new", []byte(strconv.Itoa(int(c.off.Seconds()))), 0o644))
	require.NoError(c.t, os.Rename(path+".new", path))
}

// words are what stands before a command for it to run on the clock.
func (c *clock) words() []string {
	return []string{"env", clockVariable + "=" + c.dir, os.Args[0]}
}

// onClock runs a program on the clock of a folder, and gives its exit code.
func onClock(dir string, args []string) int {
	signal.Ignore(os.Interrupt, syscall.SIGHUP) // they are the program's
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	cmd.SysProcAttr = &syscall.SysProcAttr{Ptrace: true, Pdeathsig: syscall.SIGKILL}
	runtime.LockOSThread() // which alone may let the program go on
	if err := cmd.Start(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 99
	}
	var stopped syscall.WaitStatus
	_, err := syscall.Wait4(cmd.Process.Pid, &stopped, 0, nil) // it stands before its first instruction
	var hand func(int64)
	if err == nil {
		hand, err = takeClock(cmd.Process.Pid)
	}
	if err == nil {
		follow(dir, hand)
		err = syscall.PtraceDetach(cmd.Process.Pid)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "the clock:", err)
		_ = cmd.Process.Kill()
		return 99
	}
	ended := make(chan struct{})
	go func() {
		for {
			select {
			case <-ended:
				return
			case <-time.After(10 * time.Millisecond):
				follow(dir, hand)
			}
		}
	}()
	_ = cmd.Wait()
	close(ended)
	return cmd.ProcessState.ExitCode()
}

// follow sets a program's clock by the folder.
func follow(dir string, hand func(seconds int64)) {
	raw, _ := os.ReadFile(filepath.Join(dir, "seconds"))
	if seconds, err := strconv.ParseInt(string(raw), 10, 64); err == nil {
		hand(seconds)
	}
}

// takeClock puts its own clock_gettime into the vDSO of a program that has not
// begun to run: the kernel's, to whose clock on the wall (0) seconds are added.
func takeClock(pid int) (hand func(seconds int64), err error) {
	at, length, err := vdso(pid)
	if err != nil {
		return nil, err
	}
	mem, err := os.OpenFile(fmt.Sprintf("/proc/%d/mem", pid), os.O_RDWR, 0)
	if err != nil {
		return nil, err
	}
	code := make([]byte, length)
	if _, err := mem.ReadAt(code, at); err != nil {
		return nil, err
	}
	own := []byte{
		0xb8, 228, 0, 0, 0, // mov eax, clock_gettime
		0x0f, 0x05, // syscall
		0x85, 0xff, // test edi, edi
		0x75, 10, // jnz to the end
		0x48, 0x8b, 0x0d, 4, 0, 0, 0, // mov rcx, [seconds]
		0x48, 0x01, 0x0e, // add [rsi], rcx
		0xc3,                   // ret
		0, 0, 0, 0, 0, 0, 0, 0, // seconds
	}
	place := bytes.LastIndex(code, make([]byte, 64)) // nothing is there
	library, err := elf.NewFile(bytes.NewReader(code))
	if err != nil || place < 0 {
		return nil, errors.Join(err, errors.New("no room in the vDSO"))
	}
	symbols, err := library.DynamicSymbols()
	if err != nil {
		return nil, err
	}
	place += 16 // away from what ends there
	if _, err := mem.WriteAt(own, at+int64(place)); err != nil {
		return nil, err
	}
	for _, s := range symbols {
		if strings.HasSuffix(s.Name, "clock_gettime") {
			jump := bits.LittleEndian.AppendUint32([]byte{0xe9}, uint32(place-int(s.Value)-5))
			if _, err := mem.WriteAt(jump, at+int64(s.Value)); err != nil {
				return nil, err
			}
		}
	}
	return func(seconds int64) {
		_, _ = mem.WriteAt(bits.LittleEndian.AppendUint64(nil, uint64(seconds)), at+int64(place+len(own)-8))
	}, nil
}

// vdso is where the kernel's own library lies in a program.
func vdso(pid int) (at int64, length int, err error) {
	maps, err := os.ReadFile(fmt.Sprintf("/proc/%d/maps", pid))
	if err != nil {
		return 0, 0, err
	}
	for line := range strings.Lines(string(maps)) {
		if strings.Contains(line, "[vdso]") {
			var end int64
			if _, err := fmt.Sscanf(line, "%x-%x", &at, &end); err != nil {
				return 0, 0, err
			}
			return at, int(end - at), nil
		}
	}
	return 0, 0, errors.New("no vDSO")
}
