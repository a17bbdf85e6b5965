package wavfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"rollready/capture"
	"rollready/capture/riff"
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
	tagALaw       = 0x0006
	tagMuLaw      = 0x0007
	tagExtensible = 0xFFFE
)

// subFormatTail follows the tag in the sub-format of WAVE_FORMAT_EXTENSIBLE.
var subFormatTail = []byte{0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xAA, 0x00, 0x38, 0x9B, 0x71}

// UnknownEncoding means that samples lie in a way that is not read here. Its
// text is a line for the user.
type UnknownEncoding struct{ What string }

func (e UnknownEncoding) Error() string {
	return e.What + ": save the sound as 24-bit WAV"
}

// otherTags names the encodings that are not read here.
var otherTags = map[uint16]string{0x0002: "ADPCM", 0x0011: "ADPCM", 0x0050: "MPEG", 0x0055: "MPEG layer 3"}

// FormatOf reads the fmt chunk of a file.
func FormatOf(l *riff.Layout) (capture.Format, Encoding, error) {
	raw := l.Payload("fmt ")
	if raw == nil {
		return capture.Format{}, 0, errors.New("no fmt chunk: the file is damaged")
	}
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
			return f, 0, UnknownEncoding{"unknown extensible sub-format"}
		}
		tag = binary.LittleEndian.Uint16(raw[24:])
	}
	if err := CheckFormat(f); err != nil {
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
	case tag == tagPCM && bits == 8:
		return PCM8, nil
	case tag == tagALaw && bits == 8:
		return ALaw, nil
	case tag == tagMuLaw && bits == 8:
		return MuLaw, nil
	case tag == tagPCM || tag == tagFloat:
		return 0, UnknownEncoding{fmt.Sprintf("%d-bit samples", bits)}
	}
	name := otherTags[tag]
	if name == "" {
		name = fmt.Sprintf("format tag %#x", tag)
	}
	return 0, UnknownEncoding{"compressed as " + name}
}

// CheckFormat tells what of a format can't be, in words for the user.
func CheckFormat(f capture.Format) error {
	if f.Channels < 1 || f.Channels > MaxChannels {
		return fmt.Errorf("%d channels: 1 to %d are possible", f.Channels, MaxChannels)
	}
	if f.RateHz < MinRateHz || f.RateHz > MaxRateHz {
		return fmt.Errorf("sample rate %d Hz: %d to %d Hz are possible", f.RateHz, MinRateHz, MaxRateHz)
	}
	return nil
}

// FormatChunk is the fmt chunk: the plain form where every reader knows it,
// the extensible form for more than two channels.
func FormatChunk(f capture.Format, e Encoding) riff.Chunk {
	var raw []byte
	tag := uint16(tagPCM)
	if e.IsFloat() {
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
		return riff.Chunk{ID: "fmt ", Payload: raw}
	}
	raw = binary.LittleEndian.AppendUint16(raw, 22)
	raw = binary.LittleEndian.AppendUint16(raw, uint16(8*e.Bytes()))
	raw = binary.LittleEndian.AppendUint32(raw, 0) // tracks, not loudspeakers
	raw = binary.LittleEndian.AppendUint16(raw, tag)
	return riff.Chunk{ID: "fmt ", Payload: append(raw, subFormatTail...)}
}

// FactChunk is the chunk that readers of anything but plain PCM look for; nil
// where they don't.
func FactChunk(f capture.Format, e Encoding) []riff.Chunk {
	if e.IsFloat() || f.Channels > 2 {
		return []riff.Chunk{{ID: "fact", Payload: make([]byte, 4)}}
	}
	return nil
}
