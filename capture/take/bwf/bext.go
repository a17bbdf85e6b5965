package bwf

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// bextBytes is the fixed part of bext (EBU Tech 3285 v2, 2.3).
const bextBytes = 602

// Originator is what the files name as their maker.
const Originator = "rollready"

// unused marks a loudness figure that says nothing (EBU Tech 3285 v2, 2.4).
const unused = 0x7FFF

// appendBext appends the payload of a bext chunk, version 2, even-sized and
// of the same size for the same format whatever the rest says.
func appendBext(raw []byte, m Meta, f capture.Format, e wavfile.Encoding) []byte {
	raw = appendText(raw, description(m), 256)
	raw = appendText(raw, Originator, 32)
	raw = appendText(raw, reference(m), 32)
	raw = appendText(raw, m.Started.Format("2006-01-02"), 10)
	raw = appendText(raw, m.Started.Format("15:04:05"), 8)
	raw = binary.LittleEndian.AppendUint64(raw, m.TimeReference(f.RateHz))
	raw = binary.LittleEndian.AppendUint16(raw, 2)
	raw = append(raw, make([]byte, 64)...) // UMID: none
	for _, v := range m.Loudness.figures() {
		raw = binary.LittleEndian.AppendUint16(raw, v)
	}
	raw = append(raw, make([]byte, 180)...)
	history := codingHistory(f, e, "")
	return append(raw, history+strings.Repeat("\x00", len(history)%2)...)
}

// description puts the summary into the first 64 characters.
func description(m Meta) string {
	what := "take"
	if m.RoomTone {
		what = "room tone"
	}
	return strings.TrimSpace(fmt.Sprintf("scene %s, %s %s. %s", m.Scene, what, m.Take, m.Note))
}

// reference is unique among the files of one maker: the start to the millisecond.
func reference(m Meta) string {
	return "RR" + strings.ReplaceAll(m.Started.UTC().Format("20060102150405.000"), ".", "")
}

// codingHistory is one row after EBU R 98: A, F, W, M, T in that order. M has
// no word for more than two channels; a comma would end T.
func codingHistory(f capture.Format, e wavfile.Encoding, done string) string {
	row := fmt.Sprintf("A=PCM,F=%d,W=%d,", f.RateHz, 8*e.Bytes())
	switch f.Channels {
	case 1:
		row += "M=mono,"
	case 2:
		row += "M=stereo,"
	}
	text := Originator
	if e.IsFloat() {
		text += " float"
	}
	if done != "" {
		text += "; " + strings.ReplaceAll(done, ",", ";")
	}
	return row + "T=" + text + "\r\n"
}

// appendText appends ASCII text, cut or filled with NUL to so many bytes.
// Characters bext has no room for become a question mark; iXML has them all.
func appendText(raw []byte, text string, size int) []byte {
	field := make([]byte, size)
	n := 0
	for _, r := range text {
		if n == size {
			break
		}
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			r = ' '
		case r < ' ' || r > '~':
			r = '?'
		}
		field[n] = byte(r)
		n++
	}
	return append(raw, field...)
}

func (l Loudness) figures() [5]uint16 {
	if !l.Known {
		return [5]uint16{unused, unused, unused, unused, unused}
	}
	return [5]uint16{centi(l.IntegratedLUFS), centi(l.RangeLU), centi(l.MaxTruePeak), centi(l.MaxMomentary), centi(l.MaxShortTerm)}
}

// centi gives round(100·x), ties away from zero, or unused where the figure
// is not in −99.99 … 99.99.
func centi(x float64) uint16 {
	if !(math.Abs(x) < 99.995) {
		return unused
	}
	return uint16(int16(x*100 + math.Copysign(0.5, x)))
}

// parseBext reads what Meta has room for; ok is false where the payload is
// too short. Text fields come as they stand.
func parseBext(raw []byte) (b Bext, ok bool) {
	if len(raw) < bextBytes {
		return b, false
	}
	b.Description = text(raw[:256])
	b.Originator = text(raw[256:288])
	b.Date, b.Time = text(raw[320:330]), text(raw[330:338])
	b.TimeReference = binary.LittleEndian.Uint64(raw[338:])
	b.Version = binary.LittleEndian.Uint16(raw[346:])
	if b.Version >= 2 {
		b.LoudnessLUFS = figure(raw[412:])
		b.MaxTruePeakDBTP = figure(raw[416:])
	} else {
		b.LoudnessLUFS, b.MaxTruePeakDBTP = math.NaN(), math.NaN()
	}
	return b, true
}

// Bext is what a file's bext chunk says. Figures that say nothing are NaN.
type Bext struct {
	Description, Originator, Date, Time string
	TimeReference                       uint64
	Version                             uint16
	LoudnessLUFS, MaxTruePeakDBTP       float64
}

func text(raw []byte) string {
	s, _, _ := strings.Cut(string(raw), "\x00")
	return s
}

func figure(raw []byte) float64 {
	v := int16(binary.LittleEndian.Uint16(raw))
	if v < -9999 || v > 9999 {
		return math.NaN()
	}
	return float64(v) / 100
}
