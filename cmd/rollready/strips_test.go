package main

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

// fixture is noise and what scipy's Butterworth high-pass of 80 Hz, 24 dB per
// octave, and low-pass of 12 kHz, 12 dB per octave, make of it at 48 kHz.
func fixture(t *testing.T) (in, out []float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", "filter_fixture.csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	for _, row := range rows[1:] {
		x, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		y, err := strconv.ParseFloat(row[2], 64)
		require.NoError(t, err)
		in, out = append(in, x), append(out, y)
	}
	require.Len(t, in, 64)
	return in, out
}

// Each channel of an interface goes through a strip of its own, and comes out
// as scipy has it; the layouts are sums of these.
func TestProcessRunsAStripForEachPerson(t *testing.T) {
	x, filtered := fixture(t)
	var block []float32
	for _, v := range x {
		block = append(block, 0, float32(v/4), float32(v/4))
	}
	in, dir := file(t, block, capture.Format{RateHz: 48000, Channels: 3}), t.TempDir()
	run := func(name string, args ...string) []float32 {
		out := filepath.Join(dir, name)
		newUser(t).ok(append([]string{"process", in, out, "--channels", "2+3", "--encoding", "float", "--names", "host,guest",
			"--gain", "6,-3", "--high-pass", "80/24,off", "--low-pass", "12000/12,off", "--invert", "guest"}, args...)...)
		y, r := samples(t, out)
		require.Equal(t, 2, r.Format().Channels)
		return y
	}
	host := func(i int) float64 { return filtered[i] / 4 * math.Pow(10, 6.0/20) }
	guest := func(i int) float64 { return -x[i] / 4 * math.Pow(10, -3.0/20) }
	for name, want := range map[string]func(i int) (left, right float64){
		"strips.wav": func(i int) (float64, float64) { return host(i), guest(i) },
		"together":   func(i int) (float64, float64) { return host(i) + guest(i), host(i) + guest(i) },
		"safety": func(i int) (float64, float64) {
			return host(i) + guest(i), (host(i) + guest(i)) * math.Pow(10, -10.0/20)
		},
		"right,none": func(i int) (float64, float64) { return 0, host(i) },
	} {
		var args []string
		if name != "strips.wav" {
			args = []string{"--route", name}
		}
		y := run(filepath.Base(name)+".wav", args...)
		require.Len(t, y, 2*len(x))
		for i := range x {
			left, right := want(i)
			require.InDelta(t, left, float64(y[2*i]), 1e-7, "%s, frame %d", name, i)
			require.InDelta(t, right, float64(y[2*i+1]), 1e-7, "%s, frame %d", name, i)
		}
	}
}

// watch tells what each person's microphone does.
func TestWatchTellsOfStrips(t *testing.T) {
	path := tone(t, 1000, -20, 1, capture.Format{RateHz: 48000, Channels: 8})
	line := newUser(t).last(path, "--channels", "3+8", "--names", "host,guest", "--gain", "6,-3", "--mute", "2", "--route", "safety")
	require.Len(t, line.Strips, 2)
	host, guest := line.Strips[0], line.Strips[1]
	require.Equal(t, []any{"host", 3, "guest", 8}, []any{host.Name, *host.Channel, guest.Name, *guest.Channel})
	require.InDelta(t, -20, *host.Input.Peak, 0.01)
	require.InDelta(t, -14, *host.Output.Peak, 0.01)
	require.True(t, guest.Muted)
	require.Nil(t, guest.Output.Peak)
	require.Equal(t, []float64{6, -3}, []float64{host.Gain, guest.Gain})
	require.InDelta(t, -14, *line.Camera[0].Peak, 0.01)
	require.InDelta(t, -24, *line.Camera[1].Peak, 0.01, "the safety")
}

func TestStripsAreAskedForInWordsThatFit(t *testing.T) {
	u, in := newUser(t), tone(t, 1000, -20, 0.1, stereo48)
	for args, want := range map[string]string{
		"--gain=1,2,3,4,5":    "5 values: there are 4 microphones at most",
		"--gain=1,2,3":        "--gain 1,2,3 gives 3 values, microphones heard: 2",
		"--gain=6,loud":       `--gain: "loud" is no number of decibels`,
		"--names=a,b,c,d,e":   "there are 4 microphones at most",
		"--names=\x1b[2J":     "letters, digits and spaces only",
		"--mute=nobody":       `--mute: "nobody" is no microphone: give its number, 1 to 4, or its name`,
		"--route=sideways":    `--route "sideways": choose together, apart or safety`,
		"--high-pass=80/24,7": "--high-pass",
	} {
		require.Contains(t, u.refused("process", in, filepath.Join(t.TempDir(), "x.wav"), args), want)
	}
	const comma = "--gain 4,5 gives 2 values, microphones heard: 1"
	for _, command := range [][]string{{"watch"}, {"watch", "--fast"}, {"take", "record"}} {
		require.Contains(t, u.refused(append(command, "--input", "file:"+in, "--channels", "1", "--gain", "4,5")...), comma)
	}
}

// What process makes of two people, report reads back: a strip each by the
// names of the tracks, and the safety layout as arithmetic has it.
func TestReportTellsOfStripsAndOfTheSafetyCopy(t *testing.T) {
	u, in, dir := newUser(t), tone(t, 1000, -3, 4, stereo48), t.TempDir()
	apart, safe := filepath.Join(dir, "apart.wav"), filepath.Join(dir, "safe.wav")
	u.ok("process", in, apart, "--names", "host,guest", "--gain", "-3,-9")
	u.ok("process", in, safe, "--names", "host,guest", "--gain", "0,-20", "--route", "safety")
	read := func(args ...string) reported {
		return objects[reportJSON](t, u.ok(append([]string{"report", "--json"}, args...)...))[0].Files[0]
	}
	two := read(apart).Strips
	require.Len(t, two, 2)
	require.Equal(t, []any{"host", 1, "guest", 2}, []any{two[0].Name, two[0].Channel, two[1].Name, two[1].Channel})
	require.InDelta(t, -6, *two[0].SamplePeakDBFS, 0.02)
	require.InDelta(t, -12, *two[1].SamplePeakDBFS, 0.02)
	copied := read(safe).Safety
	require.NotNil(t, copied)
	require.Equal(t, 1, copied.Louder)
	require.InDelta(t, 10, copied.LowerDB, 0.05)
	require.Equal(t, "ben", read("--names", "anna,ben", in).Strips[1].Name)
	require.Contains(t, u.run("report", in, "--names", "a,b,c").err, "names given: 3, channels to name in ")
}
