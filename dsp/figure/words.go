package figure

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Text gives a number for people, with so many decimals (-1: as many as it
// needs): the minus sign is '−', as wide as a plus, silence reads "−∞", what
// nobody knows "–", and a zero has no sign.
func Text(x float64, decimals int) string {
	if word, ok := wordFor(x); ok {
		return word
	}
	return minus(strconv.FormatFloat(x, 'f', decimals, 64))
}

// Sprintf is fmt.Sprintf for people: every float64 and Figure is written with
// the signs of Text, in the width that the format asks for; %s gives a tenth. What is to be
// typed, or read by a program, keeps to fmt.
func Sprintf(format string, args ...any) string { return fmt.Sprintf(format, worded(args)...) }

// Fprintf is fmt.Fprintf for people.
func Fprintf(w io.Writer, format string, args ...any) (int, error) {
	return fmt.Fprintf(w, format, worded(args)...)
}

func worded(args []any) []any {
	out := make([]any, len(args))
	for i, arg := range args {
		switch x := arg.(type) {
		case float64:
			arg = number(x)
		case Figure:
			arg = number(x)
		}
		out[i] = arg
	}
	return out
}

// number is a number that is formatted for people.
type number float64

// Format implements fmt.Formatter.
func (n number) Format(s fmt.State, verb rune) {
	text := n.text(s, verb)
	if wide, ok := s.Width(); ok {
		blanks := strings.Repeat(" ", max(0, wide-utf8.RuneCountInString(text)))
		if s.Flag('-') {
			text += blanks
		} else {
			text = blanks + text
		}
	}
	_, _ = io.WriteString(s, text)
}

func (n number) text(s fmt.State, verb rune) string {
	if word, ok := wordFor(float64(n)); ok {
		return word
	}
	if verb == 's' || verb == 'v' {
		return Text(float64(n), 1)
	}
	format := "%"
	if s.Flag('+') {
		format += "+"
	}
	if decimals, ok := s.Precision(); ok {
		format += "." + strconv.Itoa(decimals)
	}
	return minus(fmt.Sprintf(format+string(verb), float64(n)))
}

// wordFor stands for what is no number.
func wordFor(x float64) (word string, ok bool) {
	switch {
	case math.IsNaN(x):
		return "–", true
	case math.IsInf(x, -1):
		return "−∞", true
	case math.IsInf(x, 1):
		return "∞", true
	}
	return "", false
}

// minus puts the sign that is as wide as a plus, and none before zero.
func minus(text string) string {
	digits := strings.TrimLeft(text, "+-")
	switch {
	case !strings.ContainsAny(digits, "123456789"):
		return digits
	case text[0] == '-':
		return "−" + digits
	}
	return text
}

// Clock writes a place in a recording, in seconds, with so many decimals:
// 2:03.4, 1:02:03.45.
func Clock(seconds float64, decimals int) string {
	one := int64(math.Pow10(decimals))
	n := int64(math.Round(max(0, seconds) * float64(one)))
	text := fmt.Sprintf("%02d.%0*d", n/one%60, decimals, n%one)
	if n /= 60 * one; n >= 60 {
		return fmt.Sprintf("%d:%02d:%s", n/60, n%60, text)
	}
	return fmt.Sprintf("%d:%s", n, text)
}
