package gainplan

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"rollready/dsp/figure"
)

// Level is an rms voltage in dBV. Unknown is a level nobody could tell.
type Level float64

// Unknown levels make every figure that rests on them unknown.
var Unknown = Level(math.NaN())

// dbuOverDBV is how far a figure in dBu lies above the same voltage in dBV:
// −20·lg √0.6 = 2.2185 dB.
var dbuOverDBV = -10 * math.Log10(0.6)

// MarshalJSON writes the level in dBV, null where nobody knows it.
func (l Level) MarshalJSON() ([]byte, error) { return figure.Figure(l).MarshalJSON() }

// Known tells whether the level is a number.
func (l Level) Known() bool { return !math.IsNaN(float64(l)) }

// DBV gives the level in dBV.
func (l Level) DBV() float64 { return float64(l) }

// DBU gives the level in dBu.
func (l Level) DBU() float64 { return float64(l) + dbuOverDBV }

// Volts gives the rms voltage.
func (l Level) Volts() float64 { return math.Pow(10, float64(l)/20) }

// FromDBV, FromDBU and FromVolts make a Level; volts are rms and positive.
func FromDBV(dbv float64) Level { return Level(dbv) }

// FromDBU: see FromDBV.
func FromDBU(dbu float64) Level { return Level(dbu - dbuOverDBV) }

// FromVolts: see FromDBV.
func FromVolts(volts float64) Level { return Level(20 * math.Log10(volts)) }

// String gives the level in dBu, dBV and volts.
func (l Level) String() string {
	if !l.Known() {
		return "unknown"
	}
	volts := fmt.Sprintf("%.3g V", l.Volts())
	switch {
	case l.Volts() < 0.1:
		volts = fmt.Sprintf("%.3g mV", 1000*l.Volts())
	case l.Volts() >= 999.5:
		volts = fmt.Sprintf("%.0f V", l.Volts())
	}
	return figure.Sprintf("%+.1f dBu (%+.1f dBV, %s)", l.DBU(), l.DBV(), volts)
}

// ParseLevel reads a number with dBu, dBV, V or mV behind it, or "unknown".
func ParseLevel(text string) (Level, error) {
	s := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(text), "−", "-"))
	if s == "unknown" || s == "?" {
		return Unknown, nil
	}
	for _, u := range []struct {
		suffix string
		level  func(float64) Level
		volts  bool
	}{
		{"dbu", FromDBU, false}, {"dbv", FromDBV, false},
		{"mv", func(x float64) Level { return FromVolts(x / 1000) }, true}, {"v", FromVolts, true},
	} {
		number, ok := strings.CutSuffix(s, u.suffix)
		if !ok {
			continue
		}
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			break
		}
		if u.volts && x <= 0 {
			return Unknown, fmt.Errorf("level %q: a voltage is more than 0", text)
		}
		if l := u.level(x); l >= -140 && l <= 60 {
			return l, nil
		}
		return Unknown, fmt.Errorf("level %q lies outside what audio gear has (-140 to +60 dBV): check the unit", text)
	}
	return Unknown, fmt.Errorf("level %q: write a number and dBu, dBV, mV or V, like +4dBu or 300mV, or unknown", text)
}
