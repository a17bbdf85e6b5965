package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// oddFile is a WAV file of a random format with random faults in its sound.
func oddFile(t *testing.T, r *rand.Rand, path string) (raw []byte, f capture.Format) {
	t.Helper()
	rates := []int{8000, 11025, 22050, 32000, 44100, 48000, 88200, 96000, 192000}
	encodings := []wavfile.Encoding{wavfile.PCM16, wavfile.PCM24, wavfile.PCM32, wavfile.Float32, wavfile.Float64}
	f = capture.Format{RateHz: rates[r.IntN(len(rates))], Channels: 1 + r.IntN(5)}
	block := make([]float32, f.Channels*(1+r.IntN(1+f.RateHz/2)))
	level, hz := float32(math.Pow(10, -4*r.Float64())), 20+4000*r.Float64()
	for i := range block {
		block[i] = level * float32(math.Sin(2*math.Pi*hz*float64(i/f.Channels)/float64(f.RateHz))+0.3*r.NormFloat64())
	}
	for range r.IntN(4) {
		spoil(r, block)
	}
	put(t, filepath.Dir(path), filepath.Base(path), block, f, encodings[r.IntN(len(encodings))])
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	return raw, f
}

// spoil puts a fault into a stretch of sound.
func spoil(r *rand.Rand, block []float32) {
	from := r.IntN(len(block))
	part := block[from : from+r.IntN(len(block)-from+1)]
	kind := r.IntN(7)
	for i := range part {
		switch kind {
		case 0:
			part[i] = 0
		case 1:
			part[i] *= 100
		case 2:
			part[i] = max(-0.3, min(0.3, 10*part[i]))
		case 3:
			part[i] += 0.2
		case 4:
			part[i] = float32(math.NaN())
		case 5:
			part[i] = float32(math.Inf(1 - 2*(i&1)))
		case 6:
			part[i] = 1e-40
		}
	}
}

// field finds a chunk's payload, or its size field at −4.
func field(raw []byte, id string) int { return bytes.Index(raw, []byte(id)) + 8 }

// damages spoil the bytes of a good file. Those that are no longer sound say
// what the program must tell.
var damages = []struct {
	name   string
	reason string // "": it is still measured
	spoil  func(r *rand.Rand, raw []byte, frameBytes int) []byte
}{
	{"as it is", "", func(_ *rand.Rand, raw []byte, _ int) []byte { return raw }},
	{"cut in the sound", "", func(r *rand.Rand, raw []byte, frameBytes int) []byte {
		return raw[:min(len(raw), field(raw, "data")+frameBytes+r.IntN(len(raw)))]
	}},
	{"never closed", "", func(_ *rand.Rand, raw []byte, _ int) []byte {
		clear(raw[field(raw, "data")-4 : field(raw, "data")])
		clear(raw[4:8])
		return raw
	}},
	{"claims too much", "", func(_ *rand.Rand, raw []byte, _ int) []byte {
		copy(raw[field(raw, "data")-4:], "\xff\xff\xff\x7f")
		return raw
	}},
	{"bytes behind it", "", func(r *rand.Rand, raw []byte, _ int) []byte {
		return append(raw, []byte("junk\x03\x00\x00\x00abc")[:r.IntN(12)]...)
	}},
	{"no channels", "channels", func(_ *rand.Rand, raw []byte, _ int) []byte {
		clear(raw[field(raw, "fmt ")+2 : field(raw, "fmt ")+4])
		return raw
	}},
	{"too many channels", "channels", func(_ *rand.Rand, raw []byte, _ int) []byte {
		copy(raw[field(raw, "fmt ")+2:], "\xff\xff")
		return raw
	}},
	{"no sample rate", "sample rate", func(_ *rand.Rand, raw []byte, _ int) []byte {
		clear(raw[field(raw, "fmt ")+4 : field(raw, "fmt ")+8])
		return raw
	}},
	{"wrong frame size", "do not fit", func(_ *rand.Rand, raw []byte, _ int) []byte {
		raw[field(raw, "fmt ")+12] += 7
		return raw
	}},
	{"odd sample size", "", func(_ *rand.Rand, raw []byte, _ int) []byte {
		raw[field(raw, "fmt ")+14] = 7
		return raw
	}},
	{"compressed", "", func(_ *rand.Rand, raw []byte, _ int) []byte {
		copy(raw[field(raw, "fmt "):], "\x11\x00")
		return raw
	}},
	{"cut in the header", "", func(r *rand.Rand, raw []byte, _ int) []byte { return raw[:1+r.IntN(field(raw, "fmt ")+8)] }},
	{"no format", "fmt", func(_ *rand.Rand, raw []byte, _ int) []byte {
		copy(raw[field(raw, "fmt ")-8:], "none")
		return raw
	}},
	{"no sound", "sound", func(_ *rand.Rand, raw []byte, _ int) []byte { return raw[:field(raw, "data")] }},
	{"text", "text", func(*rand.Rand, []byte, int) []byte { return []byte("Scene 12, take 3: gulls, wind, good.\n") }},
	{"nothing", "empty", func(*rand.Rand, []byte, int) []byte { return nil }},
	{"noise", "", func(r *rand.Rand, raw []byte, _ int) []byte {
		for i := range raw {
			raw[i] = byte(r.Uint32())
		}
		return raw[:min(len(raw), 5000)]
	}},
	{"flipped bits", "", func(r *rand.Rand, raw []byte, _ int) []byte {
		for range 1 + r.IntN(20) {
			raw[r.IntN(min(len(raw), 200))] ^= 1 << r.IntN(8)
		}
		return raw
	}},
}

// uncertain are the damages after which either end is right.
var uncertain = map[string]bool{"compressed": true, "odd sample size": true, "cut in the header": true, "noise": true, "flipped bits": true}

func TestDamagedFiles(t *testing.T) { damagedFiles(t, 2*len(damages)) }

// damagedFiles reports on so many files, whole and damaged in every way: no
// crash, every bad one named with its reason, every good one measured.
func damagedFiles(t *testing.T, files int) {
	r := rand.New(rand.NewPCG(11, 1))
	folder, measured, reasons, open := t.TempDir(), map[string]bool{}, map[string]string{}, 0
	for n := range files {
		d := damages[n%len(damages)]
		path := filepath.Join(folder, fmt.Sprintf("%04d %s.wav", n, d.name))
		raw, f := oddFile(t, r, path)
		frameBytes := int(raw[field(raw, "fmt ")+12])
		require.NoError(t, os.WriteFile(path, d.spoil(r, raw, frameBytes), 0o644))
		switch {
		case uncertain[d.name]:
			open++
		case d.reason != "":
			reasons[path] = d.reason
		default:
			measured[path] = f.Channels > 0
		}
	}
	u := newUser(t)
	result := u.run("report", folder, "--json", "--html", filepath.Join(t.TempDir(), "page.html"))
	require.Equal(t, 2, result.code)
	require.NotContains(t, result.err, "panic")
	require.NotContains(t, result.err, "goroutine")
	good := objects[reportJSON](t, result.out)[0].Files
	for _, file := range good {
		require.NotContains(t, reasons, file.Path, "measured: %s, %d channels, %g s", file.Path, file.Channels, file.DurationS)
		delete(measured, file.Path)
		require.GreaterOrEqual(t, file.DurationS, 0.0)
		require.Len(t, file.TruePeakDBTP, file.Channels)
	}
	require.Empty(t, measured, "every good one is measured")
	lines := strings.Split(strings.TrimSuffix(result.err, "\n"), "\n")
	require.Len(t, lines, files-len(good)+1, "one line for every bad one, and the sum")
	for path, reason := range reasons {
		require.True(t, named(lines, path, reason), "%s: %s", path, reason)
	}
	require.Less(t, len(good), files-len(reasons)+1)
	require.GreaterOrEqual(t, open, files/len(damages)*len(uncertain))
}

func named(lines []string, path, reason string) bool {
	for _, line := range lines {
		if strings.Contains(line, path) && strings.Contains(line, reason) {
			return true
		}
	}
	return false
}
