package wavfile

import (
	"encoding/binary"
	"math"
	"slices"
)

// Encoding is how samples lie in the file.
type Encoding int

// The encodings. PCM is signed but for the 8-bit one, float is IEEE 754, all
// little-endian. The last three, of eight bits a sample, are only read.
const (
	PCM16 Encoding = iota + 1
	PCM24
	PCM32
	Float32
	Float64
	PCM8
	ALaw
	MuLaw
)

// String is the encoding in words: "24-bit", "32-bit float".
func (e Encoding) String() string {
	return [...]string{"unknown", "16-bit", "24-bit", "32-bit", "32-bit float", "64-bit float", "8-bit", "A-law", "µ-law"}[e]
}

// words are what a person asks for the written encodings by.
var words = [...]string{PCM16: "16", PCM24: "24", PCM32: "32", Float32: "float", Float64: "double"}

// Named gives the written encoding that a person or String calls so, 0 if
// there is none.
func Named(name string) Encoding {
	for e := PCM16; e <= Float64; e++ {
		if name == words[e] || name == e.String() {
			return e
		}
	}
	return 0
}

// Bytes is the size of one sample.
func (e Encoding) Bytes() int { return [...]int{0, 2, 3, 4, 4, 8, 1, 1, 1}[e] }

// IsFloat tells whether samples are floating point.
func (e Encoding) IsFloat() bool { return e == Float32 || e == Float64 }

// Written is the encoding itself, or the one that holds all of it where it is
// only read.
func (e Encoding) Written() Encoding {
	if e > Float64 {
		return PCM16
	}
	return e
}

// decode turns raw samples into floats, one for each element of dst. raw must
// be one byte longer than the samples: 24-bit ones are loaded four bytes at a
// time.
func decode[T float32 | float64](e Encoding, dst []T, raw []byte) {
	switch e {
	case PCM16:
		decode16(dst, raw)
	case PCM24:
		decode24(dst, raw)
	case PCM32:
		for i := range dst {
			dst[i] = T(int32(binary.LittleEndian.Uint32(raw[4*i:]))) * (1.0 / (1 << 31))
		}
	case Float32:
		for i := range dst {
			dst[i] = T(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
		}
	case Float64:
		for i := range dst {
			dst[i] = T(math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:])))
		}
	default:
		steps := tables[e]
		for i := range dst {
			dst[i] = T(steps[raw[i]]) * (1.0 / (1 << 15))
		}
	}
}

// decode16 takes four samples at a time, as decode24 does.
func decode16[T float32 | float64](dst []T, raw []byte) {
	const scale = 1.0 / (1 << 15)
	for len(dst) >= 4 && len(raw) >= 8 {
		a := binary.LittleEndian.Uint64(raw)
		dst[0] = T(int16(a)) * scale
		dst[1] = T(int16(a>>16)) * scale
		dst[2] = T(int16(a>>32)) * scale
		dst[3] = T(int16(a>>48)) * scale
		dst, raw = dst[4:], raw[8:]
	}
	for i := range dst {
		dst[i] = T(int16(binary.LittleEndian.Uint16(raw[2*i:]))) * scale
	}
}

// decode24 moves each sample to the top of 32 bits, which keeps its sign.
// Four at a time, because that lets the compiler drop most bounds checks.
func decode24[T float32 | float64](dst []T, raw []byte) {
	const scale = 1.0 / (1 << 31)
	for len(dst) >= 4 && len(raw) >= 13 {
		a := binary.LittleEndian.Uint64(raw)
		b := binary.LittleEndian.Uint32(raw[6:])
		c := binary.LittleEndian.Uint32(raw[9:])
		dst[0] = T(int32(uint32(a)<<8)) * scale
		dst[1] = T(int32(uint32(a>>24)<<8)) * scale
		dst[2] = T(int32(b<<8)) * scale
		dst[3] = T(int32(c<<8)) * scale
		dst, raw = dst[4:], raw[12:]
	}
	for i := range dst {
		dst[i] = T(int32(binary.LittleEndian.Uint32(raw[3*i:])<<8)) * scale
	}
}

// Append appends the samples to raw as they lie in a file. Integers are
// rounded to the nearest, held at full scale where a sample lies beyond, and
// silence where it is not a number. No dither is added, so that what came in
// unchanged goes out so. e is one that is written.
func Append[T float32 | float64](e Encoding, raw []byte, src []T) []byte {
	at, size := len(raw), e.Bytes()
	raw = slices.Grow(raw, len(src)*size)[:at+len(src)*size]
	dst := raw[at:]
	switch e {
	case PCM16:
		append16(dst, src)
	case PCM24:
		for i, x := range src {
			v, sample := quantise(float64(x), 1<<23), dst[3*i:3*i+3]
			sample[0], sample[1], sample[2] = byte(v), byte(v>>8), byte(v>>16)
		}
	case PCM32:
		for i, x := range src {
			binary.LittleEndian.PutUint32(dst[4*i:], uint32(quantise(float64(x), 1<<31)))
		}
	case Float32:
		for i, x := range src {
			binary.LittleEndian.PutUint32(dst[4*i:], math.Float32bits(float32(x)))
		}
	case Float64:
		for i, x := range src {
			binary.LittleEndian.PutUint64(dst[8*i:], math.Float64bits(float64(x)))
		}
	}
	return raw
}

// append16 is quantise to 16 bits: what is added to a number in range leaves
// the rounded one in the lowest bits of the sum.
func append16[T float32 | float64](dst []byte, src []T) {
	const round = 3 << 51
	for _, x := range src {
		if len(dst) < 2 {
			break
		}
		v := float64(x) * (1 << 15)
		word := uint16(math.Float64bits(v + round))
		if !(v >= -1<<15 && v <= 1<<15-1) {
			word = uint16(quantise(float64(x), 1<<15))
		}
		dst[0], dst[1] = byte(word), byte(word>>8)
		dst = dst[2:]
	}
}

// quantise gives x·full rounded and held within [−full, full−1]; 0 for what is
// not a number.
func quantise(x, full float64) int32 {
	v := math.RoundToEven(x * full)
	switch {
	case v >= full:
		return int32(full - 1)
	case v < -full:
		return int32(-full)
	case v != v:
		return 0
	}
	return int32(v)
}
