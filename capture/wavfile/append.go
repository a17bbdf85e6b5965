package wavfile

import "rollready/capture"

// Append appends the samples to raw as they lie in a file. Integers are
// rounded to the nearest and held at full scale; no dither.
func (e Encoding) Append(raw []byte, samples []float32) []byte { return e.encode(raw, samples) }

// IsFloat tells whether samples are floating point.
func (e Encoding) IsFloat() bool { return e.float() }

// AppendFormat appends the payload of a fmt chunk: the extensible form for
// more than two channels.
func AppendFormat(raw []byte, f capture.Format, e Encoding) []byte { return appendFormat(raw, f, e) }

// CheckFormat tells what of a format can't be written, in words for the user.
func CheckFormat(f capture.Format) error { return checkFormat(f) }

// ParseFormat reads the payload of a fmt chunk.
func ParseFormat(raw []byte) (capture.Format, Encoding, error) { return parseFormat(raw) }
