package survey

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture/recording"
	cameras "rollready/dsp/camera"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// graded is a computed scene and what must be found in it.
type graded struct {
	kind, name string
	path       string
	want       verdict.Code   // "": nothing
	may        []verdict.Code // found as well without being wrong
	channel    int            // where want must be; −1: anywhere
}

// grade is how the scenes of a kind came out.
type grade struct {
	scenes int
	missed [2]int // by report, by check
	wrong  [2]int
	notes  []string
}

// mark judges a scene by report and by check.
func (g *grade) mark(t testing.TB, s graded) {
	g.scenes++
	r, err := File(context.Background(), s.path, nil)
	require.NoError(t, err)
	for i, found := range [2][]verdict.Finding{r.Findings, checked(t, s.path)} {
		hit := s.want == ""
		for _, f := range found {
			switch {
			case f.Code == s.want && (s.channel < 0 || f.Channel == s.channel):
				hit = true
			case f.Code != s.want && !slices.Contains(s.may, f.Code):
				g.wrong[i]++
				g.notes = append(g.notes, fmt.Sprintf("%s: %s wrongly says: %s", s.name, [2]string{"report", "check"}[i], f.Message))
			}
		}
		if !hit {
			g.missed[i]++
			g.notes = append(g.notes, fmt.Sprintf("%s: %s misses %s, says %v", s.name, [2]string{"report", "check"}[i], s.want, messages(found)))
		}
	}
}

func messages(found []verdict.Finding) (list []string) {
	for _, f := range found {
		list = append(list, f.Message)
	}
	return list
}

// checked gives what check says of a file, on a camera whose level suits.
func checked(t testing.TB, path string) []verdict.Finding {
	t.Helper()
	first := check(t, path, preroll.Setup{Camera: cameras.Default})
	setup := preroll.Setup{Camera: cameras.Default}
	if gain := first.Recommend.OutputGainDB; gain.Known() {
		setup.Chain.GainDB = float64(gain)
	}
	r := check(t, path, setup)
	return slices.DeleteFunc(r.Findings, func(f verdict.Finding) bool { return f.Code == verdict.TooQuiet && f.Severity == verdict.Info })
}

func check(t testing.TB, path string, setup preroll.Setup) preroll.Result {
	t.Helper()
	x, rateHz, channels := whole(t, path)
	parts := preroll.NewParts(rateHz, channels)
	parts.Process(x)
	room, voice, err := parts.Find()
	require.NoError(t, err, path)
	c := preroll.New(rateHz, channels, setup)
	n := int64(channels)
	c.RoomTone(x[room.Start*n : room.End*n])
	c.Voice(x[voice.Start*n : voice.End*n])
	for _, rest := range preroll.Rest(int64(len(x))/n, room, voice) {
		c.Rest(x[rest.Start*n : rest.End*n])
	}
	r, err := c.Result()
	require.NoError(t, err, path)
	return r
}

// whole reads a file.
func whole(t testing.TB, path string) (x []float32, rateHz, channels int) {
	t.Helper()
	r, err := recording.Open(context.Background(), path)
	require.NoError(t, err)
	defer r.Close()
	f := r.Format()
	block := make([]float32, 4096*f.Channels)
	for {
		n, err := r.Read(block)
		if err == io.EOF {
			return x, f.RateHz, f.Channels
		}
		require.NoError(t, err)
		x = append(x, block[:n*f.Channels]...)
	}
}

// table prints the grades, one line per kind, worst notes beneath.
func table(t testing.TB, kinds []string, grades map[string]*grade) {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%-28s %7s  %-15s %-15s\n", "KIND", "SCENES", "MISSED rep/chk", "FALSE rep/chk")
	for _, k := range kinds {
		g := grades[k]
		fmt.Fprintf(&b, "%-28s %7d  %6d / %-6d %6d / %-6d\n", k, g.scenes, g.missed[0], g.missed[1], g.wrong[0], g.wrong[1])
	}
	for _, k := range kinds {
		for i, n := range grades[k].notes {
			if i < 12 {
				fmt.Fprintf(&b, "  %s: %s\n", k, n)
			}
		}
	}
	t.Log(b.String())
}
