package bwf

import (
	"bytes"
	"encoding/xml"
	"strings"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// ixmlRoom is kept free in the iXML chunk, so that a note can grow after the
// file was begun.
const ixmlRoom = 4096

// ixml is the iXML root element; a reader may rely on none of it. The names of
// SPEED, TRACK_LIST and WILD_TRACK are from memory.
type ixml struct {
	XMLName xml.Name  `xml:"BWFXML"`
	Version string    `xml:"IXML_VERSION"`
	Scene   string    `xml:"SCENE"`
	Take    string    `xml:"TAKE"`
	Note    string    `xml:"NOTE"`
	Circled string    `xml:"CIRCLED"`
	Wild    string    `xml:"WILD_TRACK,omitempty"`
	Speed   ixmlSpeed `xml:"SPEED"`
	Tracks  ixmlTracks
}

type ixmlTracks struct {
	XMLName xml.Name    `xml:"TRACK_LIST"`
	Count   int         `xml:"TRACK_COUNT"`
	Track   []ixmlTrack `xml:"TRACK"`
}

func trackList(names []string) ixmlTracks {
	list := ixmlTracks{Count: len(names)}
	for i, name := range names {
		list.Track = append(list.Track, ixmlTrack{i + 1, i + 1, name})
	}
	return list
}

type ixmlSpeed struct {
	SampleRate int    `xml:"FILE_SAMPLE_RATE"`
	Bits       int    `xml:"AUDIO_BIT_DEPTH"`
	SinceHigh  uint32 `xml:"TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI"`
	SinceLow   uint32 `xml:"TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO"`
	SinceRate  int    `xml:"TIMESTAMP_SAMPLE_RATE"`
}

type ixmlTrack struct {
	Channel    int    `xml:"CHANNEL_INDEX"`
	Interleave int    `xml:"INTERLEAVE_INDEX"`
	Name       string `xml:"NAME"`
}

// newIXML gives the payload of an iXML chunk of exactly size bytes, filled
// with spaces behind the root element. A note too long for it is cut; the
// whole one is kept beside the file. Size 0 takes what is needed and room.
func newIXML(m Meta, f capture.Format, e wavfile.Encoding, size int) []byte {
	raw := marshalIXML(m, f, e)
	if size == 0 {
		size = len(raw) + ixmlRoom
		size += size % 2
	}
	for len(raw) > size && m.Note != "" {
		note := []rune(m.Note)
		m.Note = string(note[:len(note)*3/4])
		raw = marshalIXML(m, f, e)
	}
	if len(raw) > size {
		return nil
	}
	return append(raw, bytes.Repeat([]byte{' '}, size-len(raw))...)
}

func marshalIXML(m Meta, f capture.Format, e wavfile.Encoding) []byte {
	doc := ixml{Version: "1.5", Scene: m.Scene, Take: m.Take, Note: m.Note, Circled: word(m.Circled)}
	if m.RoomTone {
		doc.Wild = word(true) // sound without picture
	}
	since := m.TimeReference(f.RateHz)
	doc.Speed = ixmlSpeed{SampleRate: f.RateHz, Bits: 8 * e.Bytes(),
		SinceHigh: uint32(since >> 32), SinceLow: uint32(since), SinceRate: f.RateHz}
	doc.Tracks = trackList(m.Tracks)
	raw, err := xml.MarshalIndent(doc, "", " ")
	if err != nil { // only a type that XML can't hold
		return nil
	}
	return append([]byte(xml.Header), raw...)
}

func word(yes bool) string {
	return strings.ToUpper(map[bool]string{true: "true", false: "false"}[yes])
}

// parseIXML reads scene, take, note, circled and tracks into m; what is not
// there stays as it was.
func parseIXML(raw []byte, m *Meta) {
	var doc ixml
	if xml.Unmarshal(bytes.TrimRight(raw, " \x00"), &doc) != nil {
		return
	}
	m.Scene, m.Take, m.Note = doc.Scene, doc.Take, doc.Note
	m.Circled, m.RoomTone = doc.Circled == word(true), doc.Wild == word(true)
	m.Tracks = doc.names()
}

// TrackNames gives the names of the channels that an iXML payload holds.
func TrackNames(raw []byte) []string {
	var m Meta
	parseIXML(raw, &m)
	return m.Tracks
}

// names are in the order of the channels; a track that does not say which one
// it is counts as the next.
func (x ixml) names() []string {
	var names []string
	for i, t := range x.Tracks.Track {
		at := t.Interleave - 1
		if at < 0 || at >= wavfile.MaxChannels {
			at = min(i, wavfile.MaxChannels-1)
		}
		for len(names) <= at {
			names = append(names, "")
		}
		names[at] = t.Name
	}
	return names
}
