// Package timecode counts pictures: frame rates of cameras as exact fractions
// and the labels hours:minutes:seconds:frames of SMPTE ST 12-1, with and
// without dropped labels.
//
// At 29.97 and 59.94 pictures per second a label that counts 30 or 60 to the
// second runs 3.6 s per hour behind the clock. Drop-frame labels leave out the
// first two (four at 59.94) of every minute but each tenth: labels are
// dropped, never pictures. They are written with a semicolon before the
// frames.
package timecode

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Rate is pictures per second as a fraction. The zero Rate is unknown.
type Rate struct {
	Num int64 `json:"num"`
	Den int64 `json:"den"`
}

// Usual are the rates of cameras.
var usual = []Rate{{24000, 1001}, {24, 1}, {25, 1}, {30000, 1001}, {30, 1}, {48000, 1001}, {48, 1}, {50, 1}, {60000, 1001}, {60, 1}}

// ParseRate reads "30000/1001", "25" or "23.976". What is within two
// hundredths of a per cent of a usual rate is that rate.
func ParseRate(text string) (Rate, error) {
	num, den, fraction := strings.Cut(strings.TrimSpace(text), "/")
	n, errNum := strconv.ParseFloat(num, 64)
	d := 1.0
	var errDen error
	if fraction {
		d, errDen = strconv.ParseFloat(den, 64)
	}
	perSecond := n / d
	if errNum != nil || errDen != nil || !(perSecond >= 1 && perSecond <= 1000) {
		return Rate{}, fmt.Errorf("frame rate %q: give pictures per second, such as 25 or 30000/1001", text)
	}
	for _, r := range usual {
		if math.Abs(perSecond/r.PerSecond()-1) < 2e-4 {
			return r, nil
		}
	}
	return Rate{int64(math.Round(perSecond * 1000)), 1000}, nil
}

// PerSecond is the rate as a number, 0 where it is unknown.
func (r Rate) PerSecond() float64 {
	if r.Den == 0 {
		return 0
	}
	return float64(r.Num) / float64(r.Den)
}

// Labels is how many labels make a second: 24 at 23.976, 30 at 29.97.
func (r Rate) Labels() int64 { return max(1, int64(math.Round(r.PerSecond()))) }

// MayDrop tells whether drop-frame labels exist at the rate: 29.97 and 59.94.
func (r Rate) MayDrop() bool { return r.Den == 1001 && r.Num%30000 == 0 }

// Frames is how many pictures lie in so many seconds, to the nearest.
func (r Rate) Frames(seconds float64) int64 { return int64(math.Round(seconds * r.PerSecond())) }

// Seconds is how long so many pictures last.
func (r Rate) Seconds(frames int64) float64 {
	if r.Num == 0 {
		return 0
	}
	return float64(frames) * float64(r.Den) / float64(r.Num)
}

// String is "29.97", "25".
func (r Rate) String() string {
	return strings.TrimSuffix(strconv.FormatFloat(math.Round(r.PerSecond()*1000)/1000, 'f', -1, 64), ".0")
}

// Code is a picture counted from midnight's label, 00:00:00:00.
type Code struct {
	Frame int64
	Rate  Rate
	Drop  bool
}

var errLabel = errors.New("write hours:minutes:seconds:frames, with ; before the frames for drop-frame")

// Parse reads a label. A semicolon or point before the frames means drop-frame.
func Parse(label string, r Rate) (Code, error) {
	c := Code{Rate: r, Drop: strings.ContainsAny(label, ";.") && r.MayDrop()}
	fields := strings.FieldsFunc(label, func(x rune) bool { return strings.ContainsRune(":;.", x) })
	if len(fields) != 4 || r.Num == 0 {
		return c, fmt.Errorf("timecode %q: %w", label, errLabel)
	}
	var v [4]int64
	for i, f := range fields {
		n, err := strconv.ParseUint(f, 10, 16)
		if err != nil {
			return c, fmt.Errorf("timecode %q: %w", label, errLabel)
		}
		v[i] = int64(n)
	}
	if v[0] > 23 || v[1] > 59 || v[2] > 59 || v[3] >= r.Labels() {
		return c, fmt.Errorf("timecode %q: there is no such label at %s pictures per second", label, r)
	}
	minutes := 60*v[0] + v[1]
	c.Frame = (60*minutes+v[2])*r.Labels() + v[3]
	if c.Drop {
		if v[2] == 0 && v[3] < c.dropped() && v[1]%10 != 0 {
			return c, fmt.Errorf("timecode %q: drop-frame leaves this label out", label)
		}
		c.Frame -= c.dropped() * (minutes - minutes/10)
	}
	return c, nil
}

// dropped is how many labels a minute leaves out.
func (c Code) dropped() int64 { return c.Rate.Labels() / 15 }

// Seconds is the time since midnight's label by the clock.
func (c Code) Seconds() float64 { return c.Rate.Seconds(c.Frame) }

// Plus is the code so many pictures later.
func (c Code) Plus(frames int64) Code {
	c.Frame += frames
	return c
}

// String is the label; after 24 hours it begins anew.
func (c Code) String() string {
	labels := c.Rate.Labels()
	n, sign := c.Frame, ":"
	if c.Drop {
		sign = ";"
		perMinute := 60*labels - c.dropped()
		perTen := 10*perMinute + c.dropped()
		day := 144 * perTen
		n = (n%day + day) % day
		tens, rest := n/perTen, n%perTen
		n += 9 * c.dropped() * tens
		if rest >= 60*labels {
			n += c.dropped() * (1 + (rest-60*labels)/perMinute)
		}
	}
	day := 86400 * labels
	n = (n%day + day) % day
	seconds := n / labels
	return fmt.Sprintf("%02d:%02d:%02d%s%02d", seconds/3600, seconds/60%60, seconds%60, sign, n%labels)
}
