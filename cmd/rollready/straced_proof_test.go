//go:build proof && linux

package main

import (
	"encoding/hex"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// diskOp is one thing a program did to a disk.
type diskOp struct {
	call string // openat, write, ftruncate, fsync, renameat, linkat, unlinkat, mkdirat
	path string
	to   string // of renameat and linkat
	at   int64  // of write; of ftruncate, the new length
	data []byte
	new  bool // of openat: O_CREAT
	cut  bool // of openat: O_TRUNC
}

// straced gives all that a command did under a folder, in the order in which
// the calls came back.
func straced(t *testing.T, under string, cmd *exec.Cmd) []diskOp {
	t.Helper()
	log := filepath.Join(t.TempDir(), "log")
	cmd.Args = append([]string{"strace", "-f", "-y", "-xx", "-s", "33554432", "-o", log, "-e",
		"trace=openat,write,pwrite64,ftruncate,fsync,fdatasync,renameat,renameat2,linkat,unlinkat,mkdirat,lseek"}, cmd.Args...)
	var err error
	cmd.Path, err = exec.LookPath("strace")
	require.NoError(t, err)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return readTrace(t, under, log)
}

func readTrace(t *testing.T, under, log string) (ops []diskOp) {
	raw, err := os.ReadFile(log)
	require.NoError(t, err)
	unfinished, offsets := map[string]string{}, map[string]int64{}
	for line := range strings.Lines(string(raw)) {
		pid, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		rest = strings.TrimSpace(rest)
		if begun, is := strings.CutSuffix(rest, "<unfinished ...>"); is {
			unfinished[pid] = begun
			continue
		}
		if after, is := strings.CutPrefix(rest, "<... "); is {
			_, after, _ = strings.Cut(after, " resumed>")
			rest = unfinished[pid] + after
		}
		if op, is := parseCall(rest, offsets); is && strings.HasPrefix(op.path, under) {
			ops = append(ops, op)
		}
	}
	require.NotEmpty(t, ops, "nothing was done under %s", under)
	return ops
}

// parseCall reads a line of strace with -y and -xx; offsets are those of the
// open descriptors.
func parseCall(line string, offsets map[string]int64) (op diskOp, is bool) {
	open, end := strings.Index(line, "("), strings.LastIndex(line, " = ")
	if open < 0 || end < 0 || strings.HasPrefix(line[end+3:], "-1") {
		return op, false
	}
	args, result := splitArgs(line[open+1:strings.LastIndex(line[:end], ")")]), line[end+3:]
	op.call = strings.TrimSuffix(strings.TrimSuffix(line[:open], "2"), "64")
	switch op.call {
	case "openat":
		op.path, op.new, op.cut = quoted(args[1]), strings.Contains(args[2], "O_CREAT"), strings.Contains(args[2], "O_TRUNC")
		fd, _, _ := strings.Cut(result, "<")
		offsets[fd] = 0
		return op, op.new || op.cut
	case "renameat", "linkat":
		op.path, op.to = quoted(args[1]), quoted(args[3])
	case "unlinkat", "mkdirat":
		op.path = quoted(args[1])
	case "lseek":
		fd, _, _ := strings.Cut(args[0], "<")
		offsets[fd], _ = strconv.ParseInt(strings.Fields(result)[0], 10, 64)
		return op, false
	case "write", "pwrite":
		fd, path, _ := strings.Cut(args[0], "<")
		op.path, op.data = unhex(strings.TrimSuffix(path, ">")), []byte(quoted(args[1]))
		done, _ := strconv.Atoi(strings.Fields(result)[0])
		if op.data = op.data[:min(done, len(op.data))]; op.call == "pwrite" {
			op.at, _ = strconv.ParseInt(args[3], 10, 64)
		} else {
			op.at, offsets[fd] = offsets[fd], offsets[fd]+int64(done)
		}
		op.call = "write"
	case "fsync", "fdatasync", "ftruncate":
		_, path, _ := strings.Cut(args[0], "<")
		op.path = unhex(strings.TrimSuffix(path, ">"))
		if op.call == "ftruncate" {
			op.at, _ = strconv.ParseInt(args[1], 10, 64)
		}
		op.call = strings.Replace(op.call, "fdatasync", "fsync", 1)
	}
	return op, true
}

// splitArgs cuts at commas; all text is written as \xNN, so none is within.
func splitArgs(text string) []string { return strings.Split(strings.TrimSpace(text), ", ") }

func quoted(text string) string { return unhex(strings.Trim(text, `"`)) }

// unhex turns \x41\x42 into AB, and leaves other text as it is.
func unhex(text string) string {
	raw, err := hex.DecodeString(strings.ReplaceAll(text, `\x`, ""))
	if err != nil || !strings.Contains(text, `\x`) {
		return text
	}
	return string(raw)
}
