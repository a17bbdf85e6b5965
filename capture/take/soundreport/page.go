package soundreport

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"path/filepath"
	"strings"
	"time"

	"rollready/capture/picture"
	"rollready/capture/take"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

//go:embed page.html
var pageText string

// WriteHTML writes the page. It holds its style and its pictures and asks for
// nothing from elsewhere.
func WriteHTML(w io.Writer, r Report) error {
	page, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	var text strings.Builder
	if err := page.Execute(&text, view(r)); err != nil {
		return err
	}
	_, err = io.WriteString(w, plain.Lines(text.String()))
	return err
}

// pageView is the report in words.
type pageView struct {
	Style             template.CSS
	Folder, Made, Sum string
	Days              []dayView
	Failed            []Failure
}

type dayView struct {
	Date  string
	Takes []takeView
}

type takeView struct {
	Title, File, Start, Length, Lead, Format, Tracks, Note string
	Circled, Clean                                         bool
	Verdict, Why                                           string
	Input, Camera, Loudness, Range, Noise                  string
	Clips, Drops                                           string
	Level, Bands                                           template.HTML
	Markers, Events                                        []string
	Found                                                  []foundView
}

func view(r Report) pageView {
	v := pageView{Style: picture.Style(), Folder: r.Folder, Made: r.Made.Format("2006-01-02 15:04"), Failed: r.Failed}
	var total time.Duration
	count := 0
	for _, d := range r.Days {
		day := dayView{Date: "undated"}
		if !d.Date.IsZero() {
			day.Date = d.Date.Format("Monday, 2 January 2006")
		}
		for _, t := range d.Takes {
			day.Takes = append(day.Takes, viewTake(t))
			total += t.Duration()
			count++
		}
		v.Days = append(v.Days, day)
	}
	v.Sum = fmt.Sprintf("%d takes, %s in all", count, long(total))
	if count == 1 {
		v.Sum = fmt.Sprintf("1 take, %s", long(total))
	}
	return v
}

// foundView is what was found in the tracks of one role.
type foundView struct {
	Tracks   string
	Findings []verdict.Finding
}

func found(t take.Take) (views []foundView) {
	for _, role := range []verdict.Role{verdict.Processed, verdict.Raw, verdict.Safety, ""} {
		v := foundView{Tracks: map[verdict.Role]string{verdict.Processed: "In the processed tracks", verdict.Raw: "In the raw tracks",
			verdict.Safety: "In the safety tracks", "": "In the take"}[role]}
		for _, f := range t.Findings {
			if f.Track == role {
				v.Findings = append(v.Findings, f)
			}
		}
		if v.Findings != nil {
			views = append(views, v)
		}
	}
	return views
}

func viewTake(t take.Take) takeView {
	word, why := t.Verdict()
	l := t.Levels
	v := takeView{Title: t.Title(), File: filepath.Base(t.Path), Start: t.Start("15:04:05", "–"), Length: long(t.Duration()),
		Format: fmt.Sprintf("%g kHz, %s", float64(t.RateHz)/1000, t.Encoding), Tracks: strings.Join(t.Tracks, ", "), Note: t.Note,
		Circled: t.Circled, Clean: word == "clean", Verdict: word, Why: strings.Join(why, "; "),
		Input: l.InputPeakDBTP.String(), Camera: l.CameraPeakDBTP.String(), Loudness: l.IntegratedLUFS.String(),
		Range: l.RangeLU.String(), Noise: l.NoiseFloorDBFS.String(), Clips: fmt.Sprint(l.Clips), Drops: drops(t),
		Level: levelPicture(t), Bands: bandPicture(t), Events: events(t), Found: found(t)}
	if t.LeadFrames > 0 {
		v.Lead = fmt.Sprintf("begins %.1f s before the key", float64(t.LeadFrames)/float64(t.RateHz))
	}
	for i, m := range markers(t) {
		v.Markers = append(v.Markers, fmt.Sprintf("%d · %s", i+1, m))
	}
	return v
}

// drops says what is missing of a take.
func drops(t take.Take) string {
	missing := t.Dropouts + t.Lost + t.Lag
	if missing == 0 {
		return "none"
	}
	return fmt.Sprintf("%.1f s", float64(missing)/float64(t.RateHz))
}

// long is a duration as 1:02:03 or 2:03.
func long(d time.Duration) string {
	s := int(d.Round(time.Second).Seconds())
	if s < 3600 {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}
