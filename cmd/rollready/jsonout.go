package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strconv"
)

// number is a figure in JSON: rounded to a thousandth, null where it is not
// finite. JSON knows no −∞, which is what silence reads.
type number float64

// MarshalJSON writes the number or null.
func (n number) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, math.Round(x*1000)/1000+0, 'f', -1, 64), nil
}

// numbers converts a list.
func numbers[T ~float64 | ~int](list []T) []number {
	out := make([]number, len(list))
	for i, x := range list {
		out[i] = number(x)
	}
	return out
}

// printJSON writes a value on one line, whole or not at all.
func printJSON(w io.Writer, value any) error {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	_, err := w.Write(line.Bytes())
	return err
}
