package readout

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rollready/capture"
	"rollready/capture/rig"
	"rollready/dsp"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
)

// Seconds is the time metered.
func Seconds(r dsp.Reading) float64 { return float64(r.Frames) / float64(max(1, r.RateHz)) }

// News is what a person who hears the lines must know: where the voice
// lies, what to do, and what else is wrong. The key is another one where that is
// news, and not only a figure has moved.
func News(s rig.State) (words, key string) {
	var parts, codes []string
	for _, cam := range s.Reading.Camera[:s.Reading.Fed] {
		if zone := string(cam.Zone); zone != "" && !slices.Contains(parts, "camera "+zone+".") {
			parts = append(parts, "camera "+zone+".")
		}
	}
	parts = append(parts, plain.Text(s.Sentence.Text()))
	codes = slices.Clone(parts)
	for _, c := range s.Conditions {
		if c.Code != s.Sentence.Code {
			parts, codes = append(parts, plain.Text(c.Message)), append(codes, string(c.Code))
		}
	}
	return strings.Join(parts, " "), strings.Join(codes, " ")
}

// Text is one line for a person. Channels stand side by side.
func Text(s rig.State) string {
	r := s.Reading
	var in, cam, zones []string
	var clipped int64
	headroom := math.Inf(1)
	for c := range r.Channels {
		in = append(in, figure.Sprintf("%6.1f", r.Input[c].PeakDBFS))
		clipped += r.Input[c].ClippedRuns
	}
	for c := range r.Fed {
		cam = append(cam, figure.Sprintf("%6.1f", r.Camera[c].PeakDBFS))
		zones = append(zones, cmp.Or(string(r.Camera[c].Zone), "unjudged"))
		headroom = min(headroom, r.Camera[c].HeadroomDB)
	}
	label := ""
	if s.Status.Kind == capture.Demo {
		label = "DEMO  "
	}
	return figure.Sprintf("%s%8.2f s  input %s dBFS  camera %s dBFS %s  headroom %6.1f dB  loudness %6.1f LUFS  clipped %d  %s",
		label, Seconds(r), strings.Join(in, " "), strings.Join(cam, " "), strings.Join(zones, " "),
		headroom, r.Loudness.MomentaryLUFS, clipped, plain.Text(s.Sentence.Text()))
}
