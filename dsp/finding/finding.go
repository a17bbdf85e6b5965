// Package finding is what a check or a report has to say: codes that scripts
// read, and for people one plain sentence and one action each.
package finding

import (
	"cmp"
	"slices"
)

// Code names a finding for scripts.
type Code string

// The codes, in order of importance.
const (
	Silence          Code = "silence"
	InputClipped     Code = "input-clipped"
	FlatTopped       Code = "flat-topped"
	Dropouts         Code = "dropouts"
	NotFinite        Code = "not-finite"
	NoVoice          Code = "no-voice"
	PolarityInverted Code = "polarity-inverted"
	DeadChannel      Code = "dead-channel"
	TooHot           Code = "too-hot"
	NoiseHigh        Code = "noise-high"
	Hum              Code = "hum"
	TooQuiet         Code = "too-quiet"
	Rumble           Code = "rumble"
	DCOffset         Code = "dc-offset"
)

// Severity says what a finding means for rolling.
type Severity string

// The severities: do not roll, roll if you must, good to know.
const (
	Stop    Severity = "stop"
	Caution Severity = "caution"
	Info    Severity = "info"
)

// Finding is one thing found.
type Finding struct {
	Code     Code     `json:"code"`
	Severity Severity `json:"severity"`
	Channel  int      `json:"channel"` // from 1; 0: the whole signal
	Message  string   `json:"message"`
	Action   string   `json:"action"`
}

// Verdict is the answer to "may I roll?".
type Verdict string

// The verdicts.
const (
	Ready    Verdict = "ready"
	Cautious Verdict = "caution"
	NotReady Verdict = "not-ready"
)

// Judge gives the verdict on a list of findings.
func Judge(findings []Finding) Verdict {
	verdict := Ready
	for _, f := range findings {
		switch f.Severity {
		case Stop:
			return NotReady
		case Caution:
			verdict = Cautious
		}
	}
	return verdict
}

// Sort orders findings by severity, then importance, then channel.
func Sort(findings []Finding) {
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(rank(a.Severity), rank(b.Severity)),
			cmp.Compare(importance(a.Code), importance(b.Code)), cmp.Compare(a.Channel, b.Channel))
	})
}

func rank(s Severity) int { return slices.Index([]Severity{Stop, Caution, Info}, s) }

func importance(c Code) int {
	return slices.Index([]Code{Silence, InputClipped, FlatTopped, Dropouts, NotFinite, NoVoice, PolarityInverted,
		DeadChannel, TooHot, NoiseHigh, Hum, TooQuiet, Rumble, DCOffset}, c)
}
