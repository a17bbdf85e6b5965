package find

import (
	"rollready/dsp/figure"
)

// Reason says why a clip can't be used.
type Reason string

// The reasons.
const (
	Silent     Reason = "silent"      // no sound at all
	TooShort   Reason = "too-short"   // shorter than the sequence
	NoSequence Reason = "no-sequence" // speech, music, another clip
	StartsLate Reason = "starts-late" // the camera was started after the sequence
	CutOff     Reason = "cut-off"     // the camera was stopped before its end
	Broken     Reason = "broken"      // parts are missing inside, or the speed is wrong
	TooFaint   Reason = "too-faint"   // the tone drowns in noise
	Overloaded Reason = "overloaded"  // no part of the ladder came through unclipped
)

// Refusal is the error for a clip that can't be used.
type Refusal struct {
	Reason Reason
	Text   string // one line: what, why, what to do
}

// Error gives the text.
func (r *Refusal) Error() string { return r.Text }

// Refuse makes a Refusal with a formatted text.
func Refuse(reason Reason, format string, args ...any) *Refusal {
	return &Refusal{Reason: reason, Text: figure.Sprintf(format, args...)}
}
