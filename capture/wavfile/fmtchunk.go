package wavfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"rollready/capture"
)

// Limits of what is read and written.
const (
	MaxChannels = 64
	MinRateHz   = 8000
	MaxRateHz   = 384000
)

// Format tags of the fmt chunk.
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagExtensible = 0xFFFE
)

// subFormatTail follows the tag in the sub-format of WAVE_FORMAT_EXTENSIBLE.
var subFormatTail = []byte{0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71}

// otherTags names the encodings that are refused.
var otherTags = map[uint16]string{
	0x0002: "ADPCM", 0x0006: "A-law", 0x0007: "µ-law", 0x0011: "ADPCM", 0x0050: "MPEG", 0x0055: "MPEG layer 3",
}

// parseFormat reads a fmt chunk.
func parseFormat(raw []byte) (capture.Format, Encoding, error) {
	if len(raw) < 16 {
		return capture.Format{}, 0, fmt.Errorf("fmt chunk of %d bytes: 16 are needed; the file is damaged", len(raw))
	}
	tag := binary.LittleEndian.Uint16(raw)
	f := capture.Format{
		Channels: int(binary.LittleEndian.Uint16(raw[2:])),
		RateHz:   int(binary.LittleEndian.Uint32(raw[4:])),
	}
	frameBytes, bits := int(binary.LittleEndian.Uint16(raw[12:])), int(binary.LittleEndian.Uint16(raw[14:]))
	if tag == tagExtensible {
		if len(raw) < 40 || !bytes.Equal(raw[26:40], subFormatTail) {
			return f, 0, errors.New("unknown extensible sub-format; convert the file to 24-bit WAV")
		}
		tag = binary.LittleEndian.Uint16(raw[24:])
	}
	if err := checkFormat(f); err != nil {
		return f, 0, err
	}
	e, err := encodingOf(tag, bits)
	if err != nil {
		return f, 0, err
	}
	// Up to 24 bits may lie in the top of a four-byte container.
	if e == PCM24 && frameBytes == 4*f.Channels {
		e = PCM32
	}
	if frameBytes != e.Bytes()*f.Channels {
		return f, 0, fmt.Errorf("%d bytes per frame do not fit %d channels of %s; the file is damaged", frameBytes, f.Channels, e)
	}
	return f, e, nil
}

func encodingOf(tag uint16, bits int) (Encoding, error) {
	switch {
	case tag == tagPCM && bits > 8 && bits <= 32:
		return [...]Encoding{PCM16, PCM24, PCM32}[(bits-9)/8], nil
	case tag == tagFloat && bits == 32:
		return Float32, nil
	case tag == tagFloat && bits == 64:
		return Float64, nil
	case tag == tagPCM || tag == tagFloat:
		return 0, fmt.Errorf("%d-bit samples: convert the file to 16, 24 or 32-bit", bits)
	}
	name := otherTags[tag]
	if name == "" {
		name = fmt.Sprintf("format tag %#x", tag)
	}
	return 0, fmt.Errorf("compressed as %s: convert the file to 24-bit WAV", name)
}

func checkFormat(f capture.Format) error {
	if f.Channels < 1 || f.Channels > MaxChannels {
		return fmt.Errorf("%d channels: 1 to %d are possible", f.Channels, MaxChannels)
	}
	if f.RateHz < MinRateHz || f.RateHz > MaxRateHz {
		return fmt.Errorf("sample rate %d Hz: %d to %d Hz are possible", f.RateHz, MinRateHz, MaxRateHz)
	}
	return nil
}

// appendFormat appends the payload of a fmt chunk: the plain form where every
// reader knows it, the extensible form for more than two channels.
func appendFormat(raw []byte, f capture.Format, e Encoding) []byte {
	tag := uint16(tagPCM)
	if e.float() {
		tag = tagFloat
	}
	shown := tag
	if f.Channels > 2 {
		shown = tagExtensible
	}
	frameBytes := e.Bytes() * f.Channels
	raw = binary.LittleEndian.AppendUint16(raw, shown)
	raw = binary.LittleEndian.AppendUint16(raw, uint16(f.Channels))
	raw = binary.LittleEndian.AppendUint32(raw, uint32(f.RateHz))
	raw = binary.LittleEndian.AppendUint32(raw, uint32(f.RateHz*frameBytes))
	raw = binary.LittleEndian.AppendUint16(raw, uint16(frameBytes))
	raw = binary.LittleEndian.AppendUint16(raw, uint16(8*e.Bytes()))
	if shown != tagExtensible {
		return raw
	}
	raw = binary.LittleEndian.AppendUint16(raw, 22)
	raw = binary.LittleEndian.AppendUint16(raw, uint16(8*e.Bytes()))
	raw = binary.LittleEndian.AppendUint32(raw, 0) // tracks, not loudspeakers
	raw = binary.LittleEndian.AppendUint16(raw, tag)
	return append(raw, subFormatTail...)
}
