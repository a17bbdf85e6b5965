// Package bwf writes, reads and mends Broadcast WAV files: a RIFF/WAVE file
// with a bext chunk (EBU Tech 3285 v2), an iXML chunk, and cue markers with
// their names in a LIST adtl. A file that passes 4 GiB becomes RF64 (EBU Tech
// 3306, ITU-R BS.2088) by way of a reserved chunk, without a gap.
//
// The layout, every chunk before data even-sized because some readers do not
// skip pad bytes in RF64:
//
//	RIFF size WAVE | JUNK 28 (or ds64) | bext | fmt | iXML, with room | [fact] | data … | cue | LIST adtl
//
// While a take rolls, sizes are made good again and again: first the samples
// are synced, then the sizes are patched, so that the header never claims
// more than exists. Markers come behind the samples when the take ends.
package bwf

import (
	"time"
)

// Meta is what the file says about its sound. A plain value.
type Meta struct {
	Scene    string
	Take     string // number as text
	Note     string
	Circled  bool
	RoomTone bool
	Started  time.Time // of the first frame, local time of the place
	Tracks   []string  // name of each channel
	Loudness Loudness
}

// Loudness holds the bext loudness figures. NaN or ±Inf, and all of them
// where Known is false, are written as "unused".
type Loudness struct {
	Known          bool
	IntegratedLUFS float64
	RangeLU        float64
	MaxTruePeak    float64 // dBTP
	MaxMomentary   float64 // LUFS
	MaxShortTerm   float64 // LUFS
}

// Marker is a place in the sound with a word.
type Marker struct {
	Frame int64 // from the start of the file
	Text  string
}

// TimeReference gives the frames from midnight to Started, after the clock on
// the wall, as bext counts them.
func (m Meta) TimeReference(rateHz int) uint64 {
	if m.Started.IsZero() {
		return 0
	}
	hour, minute, second := m.Started.Clock()
	rate := uint64(rateHz)
	return rate*uint64(3600*hour+60*minute+second) + rate*uint64(m.Started.Nanosecond())/uint64(time.Second)
}
