package page

import (
	"fmt"
	"math"
	"strings"

	"rollready/capture/survey"
	"rollready/dsp/figure"
	"rollready/dsp/verdict"
)

// each writes the figures of all channels, as one where they are alike.
func each(list []figure.Figure, name string) string {
	var texts []string
	alike := true
	for _, f := range list {
		text := strings.TrimSuffix(f.With(name), " "+name)
		texts = append(texts, text)
		alike = alike && text == texts[0]
	}
	if alike {
		texts = texts[:1]
	}
	return strings.Join(texts, " · ") + " " + name
}

func percent(list []figure.Figure) string {
	most := 0.0
	for _, f := range list {
		most = max(most, math.Abs(float64(f)))
	}
	return fmt.Sprintf("%.2f %%", 100*most)
}

func format(r survey.Result) string {
	channels := r.Weighting()
	switch {
	case len(r.Roles) > 0:
		channels = fmt.Sprintf("%d tracks", len(r.Tracks))
	case r.Channels == 1:
		channels = "mono"
	case r.Channels == 2:
		channels = "stereo"
	}
	return fmt.Sprintf("%g kHz, %s", float64(r.SampleRateHz)/1000, channels)
}

// clock writes a time as 1:02:03 or 2:03.4.
func clock(seconds float64) string {
	tenths := int64(math.Round(seconds * 10))
	h, m, s := tenths/36000, tenths/600%60, tenths%600
	if h > 0 {
		return fmt.Sprintf("%d:%02d:%02d", h, m, s/10)
	}
	return fmt.Sprintf("%d:%02d.%d", m, s/10, s%10)
}

// shownTimes is how many places of a finding are written.
const shownTimes = 8

// where tells at which times a finding was seen; a finding that is of the
// whole file has none.
func where(events []survey.Event, f verdict.Finding) string {
	var times []string
	more := 0
	for _, e := range events {
		switch {
		case e.Code != f.Code || !f.About(e.Channel):
		case len(times) < shownTimes:
			times = append(times, clock(e.Seconds))
		default:
			more++
		}
	}
	if len(times) == 0 {
		return ""
	}
	text := "at " + strings.Join(times, ", ")
	if more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}
