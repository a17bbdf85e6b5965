// Package foreign reads sound files with programs that are not ours, for tests.
package foreign

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Opened is what libsndfile says of a file.
type Opened struct {
	Error    string
	Frames   int64
	Rate     int
	Channels int
	Subtype  string
	Format   string
}

const list = `
import json, sys, soundfile
for path in sys.stdin.read().splitlines():
    try:
        with soundfile.SoundFile(path) as f:
            got = len(f.read(dtype='int32', always_2d=True)) if f.frames < 1 << 24 else f.frames
            print(json.dumps(dict(Frames=got, Rate=f.samplerate, Channels=f.channels, Subtype=f.subtype, Format=f.format)))
    except Exception as e:
        print(json.dumps(dict(Error=str(e))))
`

// Open opens files with libsndfile, reading all samples of those that are not huge.
func Open(t testing.TB, paths ...string) []Opened {
	out := python(t, list, strings.Join(paths, "\n"))
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	require.Len(t, lines, len(paths))
	all := make([]Opened, len(paths))
	for i, line := range lines {
		require.NoError(t, json.Unmarshal([]byte(line), &all[i]))
	}
	return all
}

const samples = `
import sys, soundfile
path, first, frames = sys.stdin.read().splitlines()
data, rate = soundfile.read(path, dtype='float32', always_2d=True, start=int(first), frames=int(frames))
sys.stdout.buffer.write(data.astype('<f4').tobytes())
`

// Samples gives interleaved samples as libsndfile reads them; frames −1 is all.
func Samples(t testing.TB, path string, first, frames string) []float32 {
	raw := python(t, samples, path+"\n"+first+"\n"+frames)
	got := make([]float32, len(raw)/4)
	for i := range got {
		got[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return got
}

// program is the system's Python: others may not have soundfile.
const program = "/usr/bin/python3"

var hasSoundfile = sync.OnceValue(func() bool { return exec.Command(program, "-c", "import soundfile").Run() == nil })

// python runs a script that needs soundfile.
func python(t testing.TB, script, stdin string) []byte {
	t.Helper()
	if !hasSoundfile() {
		Missing(t, "python3-soundfile")
	}
	c := exec.Command(program, "-c", script)
	c.Stdin, c.Stderr = strings.NewReader(stdin), os.Stderr
	out, err := c.Output()
	require.NoError(t, err)
	return out
}

// Run runs another program and gives what it says.
func Run(t testing.TB, pack, program string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		Missing(t, pack)
	}
	out, err := exec.Command(program, args...).CombinedOutput()
	require.NoError(t, err, string(out))
	return string(out)
}

// Missing skips a test, or fails it where CI is true.
func Missing(t testing.TB, pack string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatalf("install the Debian package %s", pack)
	}
	t.Skipf("needs the Debian package %s", pack)
}
