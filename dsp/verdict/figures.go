package verdict

import (
	"math"

	"rollready/dsp/figure"
)

// whole, decibels and gain write a level, a difference and a gain. Levels are
// rounded: a sentence is no meter.
func whole(dBFS float64) string { return figure.Text(math.Round(dBFS), 0) }

func decibels(db float64) string { return whole(db) + " dB" }

func gain(db float64) string { return figure.Sprintf("%+.1f dB", db) }

// rounded gives whole dB, 0 for what nobody knows.
func rounded(db float64) int {
	if math.IsNaN(db) || math.IsInf(db, 0) {
		return 0
	}
	return int(math.Round(db))
}

// nothing tells that a difference rounds to nothing.
func nothing(db float64) bool { return math.Abs(db) < 0.5 }

// under says how far something lies under the voice.
func under(db float64) string {
	switch {
	case nothing(db):
		return "as loud as the voice"
	case db < 0:
		return decibels(-db) + " above the voice"
	}
	return decibels(db) + " under the voice"
}
