//go:build proof

package survey

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"rollready/dsp/filter"
	"rollready/dsp/verdict"
)

// score is how often something was right.
type score struct {
	name           string
	scenes         int
	missed, wrong  int
	missing, extra map[string]int
}

func newScore(name string) *score {
	return &score{name: name, missing: map[string]int{}, extra: map[string]int{}}
}

func (g *score) String() string {
	return fmt.Sprintf("%-34s %4d scenes  %3d missed  %3d false  %v %v", g.name, g.scenes, g.missed, g.wrong, g.missing, g.extra)
}

// talkers are all speakers with these texts.
func talkers(t *testing.T, texts ...string) (all [][]float64) {
	for _, s := range speakers {
		for _, text := range texts {
			all = append(all, speak(t, s, text))
		}
	}
	return all
}

// Takes of many voices with one fault each: it is found, in the tracks that it
// comes from, and nothing else is.
func TestProofBlame(t *testing.T) {
	for _, c := range []struct {
		name string
		want string // "" is nothing
		take func(v []float64, seed uint64) [][]float64
	}{
		{"clean", "", func(v []float64, _ uint64) [][]float64 { return [][]float64{v, v, scale(v, -12), scale(v, -12)} }},
		{"our gain, +14 dB", "output-clipped processed", func(v []float64, _ uint64) [][]float64 {
			return [][]float64{clip(v, 14, 1), clip(v, 14, 1), v, v}
		}},
		{"our gain, +20 dB", "output-clipped processed", func(v []float64, _ uint64) [][]float64 {
			return [][]float64{clip(v, 20, 1), clip(v, 20, 1), v, v}
		}},
		{"our gain in one channel", "output-clipped processed", func(v []float64, _ uint64) [][]float64 {
			return [][]float64{clip(v, 14, 1), v, v, v}
		}},
		{"the input, +14 dB", "input-clipped input", func(v []float64, _ uint64) [][]float64 {
			hot := clip(v, 14, 1)
			return [][]float64{scale(hot, -10), scale(hot, -10), hot, hot}
		}},
		{"before the input", "flat-topped input", func(v []float64, _ uint64) [][]float64 {
			flat := clip(v, 16, 0.6)
			return [][]float64{scale(flat, -6), scale(flat, -6), flat, flat}
		}},
		{"a dead channel", "dead-channel input", func(v []float64, seed uint64) [][]float64 {
			dead := white(-85, len(v), seed)
			return [][]float64{v, dead, scale(v, -10), scale(dead, -1)}
		}},
		{"inverted", "polarity-inverted input", func(v []float64, _ uint64) [][]float64 {
			return [][]float64{v, inverted(v), scale(v, -10), inverted(scale(v, -10))}
		}},
		{"rumble that the chain takes out", "", func(v []float64, seed uint64) [][]float64 {
			raw := add(v, deep(-40, 25, len(v), seed))
			return [][]float64{v, v, raw, raw}
		}},
		{"hum in all tracks", "hum processed", func(v []float64, _ uint64) [][]float64 {
			x := add(v, mains(50, -55, len(v)))
			return [][]float64{x, x, x, x}
		}},
	} {
		g := newScore(c.name)
		for k, clean := range talkers(t, withPauses, withoutPauses) {
			for _, room := range []float64{-80, -75, -70, -66} {
				v := add(clean, white(room, len(clean), uint64(k)+1))
				found := false
				for _, f := range measured(t, saveTake(t, fourTracks, c.take(v, uint64(k)+99)...)).Findings {
					switch what := fmt.Sprint(f.Code, " ", f.Track); {
					case f.Severity == verdict.Info:
					case what == c.want:
						found = true
					default:
						g.wrong++
						g.extra[what]++
					}
				}
				g.scenes++
				if !found && c.want != "" {
					g.missed++
				}
			}
		}
		t.Log(g)
		assert.Zero(t, g.missed, g)
		assert.LessOrEqual(t, g.wrong, g.scenes/30, g)
	}
}

// Two recordings of many voices: which is cleaner, and why.
func TestProofCompare(t *testing.T) {
	dull := func(x []float64) []float64 {
		x = append([]float64(nil), x...)
		for _, section := range filter.LowPass(filter.Cut{Hz: 3000, Slope: 24}, rate) {
			state := filter.State{}
			for i := range x {
				x[i] = state.Step(&section, x[i])
			}
		}
		return x
	}
	for _, c := range []struct {
		name, want string
		a, b       func(v []float64) string
		softer     bool // B has less noise as well: it hums less
	}{
		{name: "mono and dual mono", a: func(v []float64) string { return save(t, v) }, b: func(v []float64) string { return save(t, v, v) }},
		{name: "mono and eight copies", a: func(v []float64) string { return save(t, v) }, b: func(v []float64) string { return save(t, v, v, v, v, v, v, v, v) }},
		{name: "a copy at −6 dB", a: func(v []float64) string { return save(t, v) }, b: func(v []float64) string { return save(t, scale(v, -6)) }},
		{name: "a take and a softer copy", a: func(v []float64) string { return saveTake(t, fourTracks, v, v, v, v) },
			b: func(v []float64) string { return save(t, scale(v, -12), scale(v, -12)) }},
		{name: "14 dB more noise", want: "noise a", a: func(v []float64) string { return save(t, add(v, white(-60, len(v), 1))) },
			b: func(v []float64) string { return save(t, scale(add(v, white(-46, len(v), 2)), -3)) }},
		{name: "noise where no voice reaches", want: "noise a", a: func(v []float64) string { return save(t, add(v, white(-80, len(v), 1))) },
			b: func(v []float64) string { return save(t, add(v, white(-52, len(v), 2))) }},
		{name: "treble cut at 3 kHz", want: "bandwidth a", a: func(v []float64) string { return save(t, add(v, white(-80, len(v), 1))) },
			b: func(v []float64) string { return save(t, add(dull(v), white(-80, len(v), 2))) }},
		{name: "hum", want: "hum b", softer: true, a: func(v []float64) string { return save(t, add(v, mains(60, -45, len(v)))) },
			b: func(v []float64) string { return save(t, scale(v, 3), scale(v, 3)) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := newScore(c.name)
			for k, clean := range talkers(t, withPauses) { // without pauses nobody hears the noise
				for i, room := range []float64{-95, -90, -85, -80, -76, -73, -70, -67} {
					if !kept(k + i) {
						continue
					}
					v := add(clean, white(room, len(clean), uint64(k)+7))
					_, why := compared(t, c.a(v), c.b(v))
					g.scenes++
					if c.want != "" && !slices.Contains(why, c.want) {
						g.missed++
						g.missing[strings.Join(why, ", ")]++
					}
					for _, reason := range why {
						if reason != c.want && !(c.softer && reason == "noise b") {
							g.wrong++
							g.extra[reason]++
						}
					}
				}
			}
			t.Log(g)
			assert.LessOrEqual(t, g.missed+g.wrong, g.scenes/15, g)
		})
	}
}
