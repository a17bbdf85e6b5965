package bwf

import (
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"slices"
	"strings"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/wavfile"
)

// Change is what became of a recording whose chunks go over to another file.
type Change struct {
	Format   capture.Format // of the new file
	Encoding wavfile.Encoding
	Done     string   // to the sound, in words; "" if no sample was changed
	Tracks   []string // new names of the channels; nil if all are as they were
}

// Carry gives the chunks that go with a changed recording: bext with a further
// row of coding history and without loudness figures that hold no more, iXML
// with its tracks as they are now, all others as they stand. New names of tracks
// make an iXML chunk where there is none.
func Carry(tags []riff.Chunk, c Change) []riff.Chunk {
	if c.Tracks != nil && !slices.ContainsFunc(tags, func(t riff.Chunk) bool { return t.ID == "iXML" }) {
		tags = append(slices.Clone(tags), riff.Chunk{ID: "iXML", Payload: []byte(xml.Header + "<BWFXML><IXML_VERSION>1.5</IXML_VERSION>\n <TRACK_LIST></TRACK_LIST>\n</BWFXML>")})
	}
	carried := make([]riff.Chunk, len(tags))
	for i, tag := range tags {
		switch tag.ID {
		case "bext":
			tag.Payload = c.bext(tag.Payload)
		case "iXML":
			tag.Payload = c.ixml(tag.Payload)
		}
		carried[i] = tag
	}
	return carried
}

// bext extends the coding history (EBU Tech 3285 v2, 2.3, and its rows, EBU
// R 98).
func (c Change) bext(raw []byte) []byte {
	if len(raw) < bextBytes {
		return raw
	}
	fixed, history := bytes.Clone(raw[:bextBytes]), text(raw[bextBytes:])
	if binary.LittleEndian.Uint16(fixed[346:]) >= 2 && (c.Done != "" || c.Tracks != nil) {
		for i := range 5 {
			binary.LittleEndian.PutUint16(fixed[412+2*i:], unused)
		}
	}
	if history != "" && !strings.HasSuffix(history, "\r\n") {
		history = strings.TrimRight(history, "\r\n") + "\r\n"
	}
	history += codingHistory(c.Format, c.Encoding, c.Done)
	return append(fixed, history+strings.Repeat("\x00", len(history)%2)...)
}

// ixml brings depth and tracks up to date and leaves the rest, whoever wrote
// it, byte for byte.
func (c Change) ixml(raw []byte) []byte {
	doc := bytes.TrimRight(raw, " \x00")
	doc = replaceElement(doc, "AUDIO_BIT_DEPTH", fmt.Sprintf("<AUDIO_BIT_DEPTH>%d</AUDIO_BIT_DEPTH>", 8*c.Encoding.Bytes()))
	if c.Tracks != nil {
		list, err := xml.MarshalIndent(trackList(c.Tracks), " ", " ")
		if err == nil {
			doc = replaceElement(doc, "TRACK_LIST", strings.TrimSpace(string(list)))
		}
	}
	return append(doc, bytes.Repeat([]byte{' '}, len(doc)%2)...)
}

// replaceElement puts text in place of the first element of a name; a document
// that has none, or is no XML, stays as it is.
func replaceElement(doc []byte, name, text string) []byte {
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		start := d.InputOffset()
		token, err := d.Token()
		if err != nil {
			return doc
		}
		if e, ok := token.(xml.StartElement); ok && e.Name.Local == name {
			if d.Skip() != nil {
				return doc
			}
			return append(append(bytes.Clone(doc[:start]), text...), doc[d.InputOffset():]...)
		}
	}
}
