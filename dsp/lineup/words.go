package lineup

import (
	"fmt"
	"strings"

	"rollready/dsp/figure"
)

// Word is one figure of a line-up, for people.
type Word struct{ Name, Value string }

// Words are the figures in reading order. Levels of the output are named so,
// all others are on the camera's scale.
func (r Result) Words() []Word {
	return []Word{
		{"offset", worded(r.OffsetDB, "%+.1f dB")},
		{"clips", clipText(r)},
		{"automatic level", automaticText(r.AutomaticLevel)},
		{"limiter", automaticText(r.Limiter)},
		{"noise", noiseText(r)},
		{"usable range", usableText(r)},
		{"distortion", worded(r.DistortionPercent, "%.2f %% at −20 dBFS output")},
		{"polarity", string(r.Polarity)},
		{"channels", channelsText(r)},
		{"clock", figure.Sprintf("%+.1f ppm at %d Hz", r.ClockPPM, r.RateHz)},
		{"low cut", cutText(r, r.LowCut)},
		{"high cut", cutText(r, r.HighCut)},
		{"target window", figure.Sprintf("%.1f to %.1f dBFS on the camera", r.Target.LowDBFS, r.Target.HighDBFS)},
	}
}

// worded words a figure, "none" where it is missing.
func worded(f Figure, format string) string {
	if !f.Known() {
		return "none"
	}
	return figure.Sprintf(format, f)
}

func noiseText(r Result) string {
	if !r.NoiseDBFS.Known() {
		return "none: the silence is digital"
	}
	return worded(r.NoiseDBFS, "%.1f dBFS") + ", A-weighted " + worded(r.NoiseDBA, "%.1f dBFS")
}

func usableText(r Result) string {
	if !r.UsableDB.Known() {
		return "not limited by noise"
	}
	return worded(r.UsableDB, "%.0f dB")
}

func clipText(r Result) string {
	if !r.ClipDBFS.Known() {
		return "never, up to −1 dBFS output"
	}
	return figure.Sprintf("at %.1f dBFS output, %.1f dBFS on the camera (%s; 1 %% distortion at %s, 0.5 dB lost at %s)",
		float64(r.ClipDBFS), float64(r.ClipDBFS+r.OffsetDB), r.Clip.Kind,
		worded(r.Clip.OnePercentDBFS, "%.1f"), worded(r.Clip.CompressionDBFS, "%.1f"))
}

func automaticText(a Automatic) string {
	if !a.On {
		return "off"
	}
	return fmt.Sprintf("ON: attack %s, release %s", worded(a.AttackMS, "%.0f ms"), worded(a.ReleaseMS, "%.0f ms"))
}

func channelsText(r Result) string {
	var list []string
	for i, c := range r.Channels {
		text := fmt.Sprintf("%d carries %s", i+1, c.Carries)
		if c.Carries != Nothing {
			text += " at " + worded(c.OffsetDB, "%+.1f dB")
		}
		if c.Carries != Nothing && c.Polarity != r.Polarity {
			text += ", " + string(c.Polarity)
		}
		list = append(list, text)
	}
	return string(r.Wiring) + " (" + strings.Join(list, "; ") + ")"
}

func cutText(r Result, c Cut) string {
	switch {
	case len(r.Response) == 0:
		return "not measured"
	case c.Slope == 0:
		return "none"
	}
	return fmt.Sprintf("%.0f Hz, %d dB per octave", c.Hz, c.Slope)
}
