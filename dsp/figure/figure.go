// Package figure is how a measured number is written: for scripts and for people.
package figure

import (
	"math"
	"strconv"
)

// Figure is a number that JSON shows rounded to a thousandth, and as null where
// it is not finite: JSON knows no −∞, which is what silence reads.
type Figure float64

// MarshalJSON implements json.Marshaler.
func (f Figure) MarshalJSON() ([]byte, error) {
	if !f.Known() {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, math.Round(float64(f)*1000)/1000+0, 'f', -1, 64), nil
}

// UnmarshalJSON reads a number, or null as NaN.
func (f *Figure) UnmarshalJSON(text []byte) error {
	if string(text) == "null" {
		*f = Figure(math.NaN())
		return nil
	}
	v, err := strconv.ParseFloat(string(text), 64)
	*f = Figure(v)
	return err
}

// Known tells whether the number is finite.
func (f Figure) Known() bool { return !math.IsNaN(float64(f)) && !math.IsInf(float64(f), 0) }

// String gives the number to a tenth, for people.
func (f Figure) String() string { return Text(float64(f), 1) }

// With gives the number to a tenth and its unit, which one that nobody knows
// does without.
func (f Figure) With(unit string) string {
	if math.IsNaN(float64(f)) {
		return f.String()
	}
	return f.String() + " " + unit
}

// Cell gives the number for a table that programs read, empty where it is not
// finite.
func (f Figure) Cell(decimals int) string {
	if !f.Known() {
		return ""
	}
	return strconv.FormatFloat(float64(f), 'f', decimals, 64)
}

// Highest gives the highest of a list, −Inf of none.
func Highest(list []Figure) Figure {
	top := Figure(math.Inf(-1))
	for _, f := range list {
		top = max(top, f)
	}
	return top
}

// List converts numbers to Figures.
func List[T ~float64 | ~int | ~int64](numbers []T) []Figure {
	out := make([]Figure, len(numbers))
	for i, x := range numbers {
		out[i] = Figure(x)
	}
	return out
}
