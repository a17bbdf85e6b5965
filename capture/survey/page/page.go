// Package page writes what was measured of recordings as one HTML page that
// needs nothing else, for screen and print.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"path/filepath"
	"strings"
	"time"

	"rollready/capture/picture"
	"rollready/capture/survey"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

//go:embed page.html
var pageText string

// Report is what is on the page. A plain value.
type Report struct {
	Made     time.Time
	Outcomes []survey.Outcome
	Compared *survey.Comparison // of the first two; nil if they were not compared
}

// Write writes the page.
func Write(w io.Writer, r Report) error {
	page, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	var text strings.Builder
	if err := page.Execute(&text, newView(r)); err != nil {
		return err
	}
	_, err = io.WriteString(w, plain.Lines(text.String()))
	return err
}

// view is the report in words.
type view struct {
	Style     template.CSS
	Sum, Made string
	Files     []file
	Compared  *compared
	Failed    []string
}

// file is one recording in words and pictures.
type file struct {
	Name, Path, Format, Length string
	Verdict                    string
	Clean                      bool
	TruePeak, Loudness, Range  string
	Noise, Hum, Clipped        string
	Facts                      []fact
	Findings                   []found
	Marks                      []string // what it is best at
	Level, Bands               pictures
	SmallLevel, SmallBands     template.HTML
	Truncated                  bool
}

// fact is a figure with its name.
type fact struct{ Name, Value string }

// found is a finding and where it is.
type found struct {
	Severity, Message, Action, Where string
}

func newView(r Report) view {
	v := view{Style: picture.Style(), Made: r.Made.Format("2006-01-02 15:04")}
	var good []survey.Result
	seconds := 0.0
	for _, o := range r.Outcomes {
		if o.Err != nil {
			v.Failed = append(v.Failed, o.Err.Error())
			continue
		}
		good = append(good, o.Result)
		seconds += float64(o.Result.DurationS)
		v.Files = append(v.Files, newFile(o.Result))
	}
	v.Sum = fmt.Sprintf("%d recordings, %s in all", len(good), clock(seconds))
	if len(good) == 1 {
		v.Sum = "1 recording, " + clock(seconds)
	}
	if r.Compared != nil {
		v.Compared = newCompared(r.Compared)
	}
	markBest(v.Files, good)
	return v
}

func newFile(r survey.Result) file {
	word, clean := inAWord(r.Findings)
	f := file{Name: filepath.Base(r.Path), Path: r.Path, Length: clock(float64(r.DurationS)), Format: format(r), Verdict: word, Clean: clean,
		TruePeak: figure.Highest(r.TruePeakDBTP).With("dBTP"), Loudness: r.IntegratedLUFS.With("LUFS"), Range: r.RangeLU.With("LU"),
		Noise: r.NoiseFloorDBA.With("dBA"), Hum: r.Hum.Words(), Clipped: fmt.Sprint(survey.Total(r.ClippedRuns)),
		Facts: facts(r), Findings: findings(r), Truncated: r.Truncated}
	f.Level = both(func(s size) template.HTML { return levelPicture(r, s) })
	f.Bands = both(func(s size) template.HTML { return bandPicture(r, s) })
	f.SmallLevel, f.SmallBands = levelPicture(r, small), bandPicture(r, small)
	return f
}

// inAWord judges a recording.
func inAWord(list []verdict.Finding) (word string, clean bool) {
	switch verdict.Judge(list) {
	case verdict.Ready:
		return "✓ clean", true
	case verdict.Cautious:
		return "! listen", false
	}
	return "✕ faulty", false
}

// facts are those of a recording, or of its first tracks and then of the others.
func facts(r survey.Result) []fact {
	all := wholeFacts(r)
	for _, p := range r.Roles {
		all = append(all, fact{p.Name(), p.TruePeakDBTP.With("dBTP") + ", " + p.IntegratedLUFS.With("LUFS") + ", noise " + p.NoiseFloorDBA.With("dBA")})
	}
	return all
}

func wholeFacts(r survey.Result) []fact {
	return []fact{
		{"Length", clock(float64(r.DurationS))},
		{"True peak", each(r.TruePeakDBTP, "dBTP")},
		{"Sample peak", each(r.SamplePeakDBFS, "dBFS")},
		{"Level, rms", each(r.RMSDBFS, "dBFS")},
		{"Loudness", r.IntegratedLUFS.With("LUFS")},
		{"Loudness range", r.RangeLU.With("LU")},
		{"Loudest 0.4 s", r.MaxMomentaryLUFS.With("LUFS")},
		{"Loudest 3 s", r.MaxShortTermLUFS.With("LUFS")},
		{"Noise floor", r.NoiseFloorDBFS.With("dBFS")},
		{"Noise floor, A-weighted", r.NoiseFloorDBA.With("dBA")},
		{"Hum", r.Hum.Words()},
		{"Zero line off by", percent(r.DCOffset)},
		{"Clipped", fmt.Sprint(survey.Total(r.ClippedRuns))},
		{"Flat tops", fmt.Sprint(survey.Total(r.FlatTops))},
		{"Holes", fmt.Sprint(r.Dropouts)},
		{"Samples not finite", fmt.Sprint(r.NonFinite)},
	}
}

func findings(r survey.Result) (list []found) {
	for _, f := range r.Findings {
		list = append(list, found{string(f.Severity), f.Message, f.Action, where(r.Events, f)})
	}
	return list
}

// markBest says which of several recordings of a voice, none of them faulty,
// has the least noise.
func markBest(files []file, results []survey.Result) {
	mark := func(word string, noise func(survey.Result) figure.Figure) {
		best, compared := -1, 0
		for i, r := range results {
			if !withVoice(r) || !noise(r).Known() {
				continue
			}
			if compared++; best < 0 || noise(r) < noise(results[best]) {
				best = i
			}
		}
		if compared > 1 {
			files[best].Marks = append(files[best].Marks, word)
		}
	}
	mark("lowest noise floor", func(r survey.Result) figure.Figure { return r.NoiseFloorDBA })
	mark("least noise for its loudness", func(r survey.Result) figure.Figure { return r.NoiseFloorDBA - r.IntegratedLUFS })
}

func withVoice(r survey.Result) bool {
	for _, f := range r.Findings {
		if f.Severity == verdict.Stop || f.Code == verdict.NoVoice {
			return false
		}
	}
	return true
}
