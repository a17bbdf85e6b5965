package bwf

import (
	"encoding/xml"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/riff"
	"rollready/capture/wavfile"
)

var stereo16 = Change{Format: capture.Format{RateHz: 48000, Channels: 2}, Encoding: wavfile.PCM16,
	Done: "gain +6.0 dB, high-pass 80 Hz", Tracks: []string{"processed 1", "boom & co"}}

// Rows of the coding history: EBU R 98; each ends with CR LF.
func TestCarryExtendsTheCodingHistory(t *testing.T) {
	whole := appendBext(nil, meta, capture.Format{RateHz: 48000, Channels: 4}, wavfile.PCM24)
	const first, second = "A=PCM,F=48000,W=24,T=rollready\r\n", "A=PCM,F=48000,W=16,M=stereo,T=rollready; gain +6.0 dB; high-pass 80 Hz\r\n"
	for history, want := range map[string]string{first: first + second, "": second, first[:len(first)-2]: first + second} {
		raw := append(whole[:bextBytes:bextBytes], history...)
		got := Carry([]riff.Chunk{{ID: "bext", Payload: raw}}, stereo16)[0].Payload
		require.Equal(t, want, text(got[bextBytes:]))
		require.Zero(t, len(got)%2)
		require.Equal(t, whole[:412], got[:412], "time reference and all")
		require.Equal(t, []byte{0xff, 0x7f, 0xff, 0x7f, 0xff, 0x7f, 0xff, 0x7f, 0xff, 0x7f}, got[412:422], "loudness says nothing")
	}
	untouched := Carry([]riff.Chunk{{ID: "bext", Payload: whole}}, Change{Format: stereo16.Format, Encoding: wavfile.PCM24})[0].Payload
	require.Equal(t, whole[:bextBytes], untouched[:bextBytes])
}

func TestCarryKeepsWhatOthersWroteIntoIXML(t *testing.T) {
	const doc = `<?xml version="1.0"?><BWFXML><PROJECT>Pier &amp; Harbour</PROJECT><SPEED><AUDIO_BIT_DEPTH>24</AUDIO_BIT_DEPTH></SPEED>` +
		`<TRACK_LIST><TRACK_COUNT>1</TRACK_COUNT><TRACK><NAME>x</NAME></TRACK></TRACK_LIST><USER a="b">kept</USER></BWFXML>`
	got := Carry([]riff.Chunk{{ID: "iXML", Payload: []byte(doc + "   ")}, {ID: "cue ", Payload: []byte("as it is")}}, stereo16)
	require.Equal(t, "as it is", string(got[1].Payload))
	require.Contains(t, string(got[0].Payload), `<PROJECT>Pier &amp; Harbour</PROJECT><SPEED><AUDIO_BIT_DEPTH>16</AUDIO_BIT_DEPTH></SPEED>`)
	require.Contains(t, string(got[0].Payload), `<USER a="b">kept</USER>`)
	require.Equal(t, stereo16.Tracks, TrackNames(got[0].Payload))
	require.Zero(t, len(got[0].Payload)%2)
	broken := Carry([]riff.Chunk{{ID: "iXML", Payload: []byte("<BWFXML><TRACK_LIST>")}}, stereo16)
	require.Equal(t, "<BWFXML><TRACK_LIST>", string(broken[0].Payload))
}

// Whatever an iXML chunk holds, it is read and carried on without harm, and
// what could be read before can be after.
func FuzzIXML(f *testing.F) {
	f.Add(newIXML(meta, stereo16.Format, wavfile.PCM24, 0))
	found, err := filepath.Glob("../../../testdata/reference/fixture*.wav")
	require.NoError(f, err)
	require.NotEmpty(f, found)
	for _, path := range found {
		raw, err := os.ReadFile(path)
		require.NoError(f, err)
		l, err := riff.Walk(file(raw), int64(len(raw)))
		require.NoError(f, err)
		f.Add(l.Payload("iXML"))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		names := TrackNames(raw)
		require.LessOrEqual(t, len(names), wavfile.MaxChannels)
		after := stereo16.ixml(raw)
		var doc ixml
		if xml.Unmarshal(raw, &doc) == nil {
			require.NoError(t, xml.Unmarshal(after, &doc))
		}
	})
}

func file(raw []byte) *memory {
	m := memory(raw)
	return &m
}
