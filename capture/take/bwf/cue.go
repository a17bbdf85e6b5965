package bwf

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"

	"rollready/capture/riff"
)

// cueBytes is the size of one record of a cue chunk.
const cueBytes = 24

// appendMarkers appends a cue chunk and a LIST adtl with one labl each, pad
// bytes included; nothing where there is no marker. Cue places are 32 bits of
// frames: later markers have no room in the file and are left out.
func appendMarkers(raw []byte, markers []Marker) []byte {
	cue := binary.LittleEndian.AppendUint32(nil, 0)
	list := []byte("adtl")
	count := uint32(0)
	for _, m := range markers {
		if m.Frame < 0 || m.Frame > math.MaxUint32 {
			continue
		}
		count++
		frame := uint32(m.Frame)
		for _, v := range [...]uint32{count, frame} {
			cue = binary.LittleEndian.AppendUint32(cue, v)
		}
		cue = append(cue, "data\x00\x00\x00\x00\x00\x00\x00\x00"...)
		cue = binary.LittleEndian.AppendUint32(cue, frame)
		label := binary.LittleEndian.AppendUint32(nil, count)
		label = append(label, strings.ReplaceAll(m.Text, "\x00", "")+"\x00"...)
		list = riff.Append(list, riff.Chunk{ID: "labl", Payload: label})
	}
	if count == 0 {
		return raw
	}
	binary.LittleEndian.PutUint32(cue, count)
	raw = riff.Append(raw, riff.Chunk{ID: "cue ", Payload: cue})
	return riff.Append(raw, riff.Chunk{ID: "LIST", Payload: list})
}

// parseMarkers joins the payloads of a cue chunk and of a LIST adtl, which
// may be nil, both without their list type.
func parseMarkers(cue, adtl []byte) []Marker {
	if len(cue) < 4 {
		return nil
	}
	labels := parseLabels(adtl)
	var markers []Marker
	for rec := cue[4:]; len(rec) >= cueBytes; rec = rec[cueBytes:] {
		id, frame := binary.LittleEndian.Uint32(rec), binary.LittleEndian.Uint32(rec[20:])
		markers = append(markers, Marker{Frame: int64(frame), Text: labels[id]})
	}
	return markers
}

func parseLabels(adtl []byte) map[uint32]string {
	labels := map[uint32]string{}
	for len(adtl) >= 12 {
		size := int64(binary.LittleEndian.Uint32(adtl[4:]))
		end := 8 + size + size%2
		if end > int64(len(adtl)) {
			break
		}
		if string(adtl[:4]) == "labl" && size >= 4 {
			name, _, _ := bytes.Cut(adtl[12:8+size], []byte{0})
			labels[binary.LittleEndian.Uint32(adtl[8:])] = string(name)
		}
		adtl = adtl[end:]
	}
	return labels
}
