package soundreport

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/take"
	"rollready/dsp/bands"
	"rollready/dsp/figure"
	"rollready/dsp/loudness"
	"rollready/dsp/verdict"
)

var noon = time.Date(2026, 3, 4, 12, 0, 0, 0, time.Local)

// sample is a take of 3 min with everything that can be on paper.
func sample(path string) take.Take {
	t := take.Take{Path: path, Scene: "12A", Number: 3, Note: "boat <b>passes</b>, \"again\"", Circled: true, State: take.Ended, Judged: true,
		Started: noon, LeadFrames: 5 * 48000, Frames: 180 * 48000, RateHz: 48000, Encoding: "24-bit", Lost: 24000,
		Tracks:  []string{"processed 1", "processed 2", "input 1", "input 2"},
		Markers: []take.Marker{{Frame: 48000 * 7 / 2, Text: "slate"}, {Frame: 48000 * 65, Text: "gull & horn"}, {Frame: 48000 * 100, Text: "input lost"}},
		Events:  []take.Event{{At: noon.Add(100 * time.Second), Frame: 4800000, Kind: verdict.InputLost, Text: "the input stopped"}},
		Levels: take.Levels{InputPeakDBTP: -3.21, OutputPeakDBTP: -9.5, CameraPeakDBTP: -7.44,
			Whole:          loudness.Whole{IntegratedLUFS: -23.05, RangeLU: 6.1, MaxMomentaryLUFS: -17, MaxShortTermLUFS: -19.5},
			NoiseFloorDBFS: figure.Figure(math.Inf(-1)), Clips: 2}}
	t.Findings = []verdict.Finding{verdict.OurOverload(verdict.Where{Role: verdict.Processed, Channels: []int{1}}, 12, verdict.Raw),
		verdict.HumAlone(verdict.Where{Role: verdict.Raw, Channels: []int{4}}, 50, -61).With(verdict.Info)}
	t.Picture.StepSeconds = 0.5
	for i := range 360 {
		level := -20 + 8*math.Sin(float64(i)/9) + 6*math.Sin(float64(i)*1.7)
		if i > 199 && i < 206 {
			level = math.Inf(-1)
		}
		t.Picture.PeakDBFS = append(t.Picture.PeakDBFS, level)
		t.Picture.RMSDBFS = append(t.Picture.RMSDBFS, level-12)
	}
	for i := range 32 {
		t.Picture.BandHz = append(t.Picture.BandHz, bands.At(i).NominalHz)
		t.Picture.BandDBFS = append(t.Picture.BandDBFS, -30-math.Pow(float64(i-14)/4, 2))
	}
	return t
}

// made is a report of two days.
func made() Report {
	r := Report{Folder: "harbour", Made: noon.Add(30 * time.Hour), Failed: []Failure{{"torn.wav", "the file ends before its first sample"}}}
	r.add(sample("harbour/12A_003.wav"))
	clean := sample("harbour/12A_004.wav")
	clean.Number, clean.Circled, clean.Started, clean.Note = 4, false, noon.Add(time.Hour), ""
	clean.Lost, clean.Levels.Clips, clean.Markers, clean.Events, clean.Findings = 0, 0, nil, nil, clean.Findings[1:]
	clean.Levels.InputPeakDBTP = figure.Figure(math.NaN())
	r.add(clean)
	r.add(take.Take{Path: "harbour/12A_room-1.wav", Scene: "12A", Number: 1, RoomTone: true, State: take.Ended,
		Started: noon.Add(26 * time.Hour), Frames: 30 * 48000, RateHz: 48000, Encoding: "24-bit", Tracks: []string{"processed 1"}})
	return r
}

func TestPageSaysWhatHappened(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, WriteHTML(&page, made()))
	text := page.String()
	for _, want := range []string{"3 takes, 6:30 in all", "Wednesday, 4 March 2026", "Thursday, 5 March 2026", "12A take 3", "12A room tone 1",
		"boat &lt;b&gt;passes&lt;/b&gt;", "−3.2 dBTP", "−7.4 dBTP", "−23.1 LUFS", "−∞ dBFS", "input clipped 2×; input away for 0.5 s",
		"2 · 1:05.0 gull &amp; horn", "12:01:40 the input stopped", "begins 5.0 s before the key", "48 kHz, 24-bit", "✓ clean", "In the processed tracks", "stop: Processed track 1 overloads: full scale was hit 12 times. The raw track is clean: take that.",
		"In the raw tracks", "info: Mains hum of 50 Hz on input track 4", "! listen",
		"torn.wav: the file ends before its first sample"} {
		require.Contains(t, text, want)
	}
	for _, never := range []string{"http:", "https:", "<script", "@import", "src="} {
		require.NotContains(t, text, never)
	}
	if path := os.Getenv("ROLLREADY_TEST_PAGE"); path != "" { // to be looked at
		require.NoError(t, os.WriteFile(path, page.Bytes(), 0o644))
	}
}

func TestEmptyFolderSaysSo(t *testing.T) {
	r, err := Read(t.TempDir(), time.Time{}, noon)
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, WriteHTML(&page, r))
	require.Contains(t, page.String(), "no takes in this folder yet")
}

// The pictures are well-formed, and every figure in them lies inside.
func TestPicturesStayInTheirBox(t *testing.T) {
	for _, picture := range []string{string(levelPicture(sample("a.wav"))), string(bandPicture(sample("a.wav")))} {
		decoder := xml.NewDecoder(strings.NewReader(picture))
		elements := 0
		for {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			if e, ok := token.(xml.StartElement); ok {
				elements++
				for _, a := range e.Attr {
					require.NotContains(t, a.Value, "NaN")
					require.NotContains(t, a.Value, "Inf")
				}
			}
		}
		require.Greater(t, elements, 20)
	}
	require.Regexp(t, `class="rms" d="M[^Z"]+"/>`, string(levelPicture(sample("a.wav"))), "a line, not an area")
	require.Empty(t, levelPicture(take.Take{}))
	require.Empty(t, bandPicture(take.Take{}))
}

func TestTableReadsBack(t *testing.T) {
	var table bytes.Buffer
	require.NoError(t, WriteCSV(&table, made().Takes()))
	rows, err := csv.NewReader(&table).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 4)
	cell := func(row int, name string) string {
		for i, h := range rows[0] {
			if h == name {
				return rows[row][i]
			}
		}
		t.Fatal("no column ", name)
		return ""
	}
	require.Equal(t, "boat <b>passes</b>, \"again\"", cell(1, "note"))
	require.Equal(t, "180.000", cell(1, "length_s"))
	require.Equal(t, "-3.2", cell(1, "input_peak_dbtp"))
	require.Equal(t, "", cell(1, "noise_floor_dbfs"))
	require.Equal(t, "", cell(2, "input_peak_dbtp"))
	require.Equal(t, "0:03.5 slate; 1:05.0 gull & horn; 1:40.0 input lost", cell(1, "markers"))
	require.Equal(t, "0.500", cell(1, "input_away_s"))
	require.Equal(t, "listen", cell(1, "verdict"))
	require.Equal(t, "output-clipped:processed hum:input", cell(1, "findings"))
	require.Equal(t, "room tone", cell(3, "kind"))
}

func TestPlaces(t *testing.T) {
	x := take.Take{RateHz: 48000}
	for seconds, want := range map[float64]string{0: "0:00.0", 9.99: "0:09.9", 75: "1:15.0", 3605.5: "1:00:05.5", 7325: "2:02:05.0"} {
		require.Equal(t, want, place(x, int64(seconds*48000)))
	}
}
