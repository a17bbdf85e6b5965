package timeline

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture/dailies"
	"rollready/dsp/match"
	"rollready/dsp/timecode"
)

// fields are the names and JSON kinds that each object must have: the
// published "serialized schema" of OpenTimelineIO 0.15 and later, from memory,
// for neither npm, Debian 12 nor the Go proxy carries its library (PyPI
// alone does). A question mark allows
// null, a plus names another object.
var fields = map[string]map[string]string{
	"RationalTime.1":      {"rate": "number", "value": "number"},
	"TimeRange.1":         {"start_time": "+RationalTime.1", "duration": "+RationalTime.1"},
	"ExternalReference.1": {"name": "string", "metadata": "object", "available_range": "+TimeRange.1", "available_image_bounds": "null", "target_url": "string"},
	"Marker.2":            {"name": "string", "metadata": "object", "color": "string", "marked_range": "+TimeRange.1", "comment": "string"},
	"Gap.1":               itemFields(nil),
	"Clip.2":              itemFields(map[string]string{"media_references": "object", "active_media_reference_key": "string"}),
	"Track.1":             itemFields(map[string]string{"children": "list", "kind": "string"}),
	"Stack.1":             itemFields(map[string]string{"children": "list"}),
	"Timeline.1":          {"name": "string", "metadata": "object", "global_start_time": "null", "tracks": "+Stack.1"},
}

func itemFields(more map[string]string) map[string]string {
	all := map[string]string{"name": "string", "metadata": "object", "source_range": "?+TimeRange.1", "effects": "list", "markers": "list", "enabled": "bool"}
	for k, v := range more {
		all[k] = v
	}
	return all
}

// check walks all objects and counts them by schema.
func check(t *testing.T, value any, seen map[string]int) {
	t.Helper()
	switch v := value.(type) {
	case []any:
		for _, x := range v {
			check(t, x, seen)
		}
	case map[string]any:
		if schema, is := v["OTIO_SCHEMA"].(string); is {
			seen[schema]++
			want, known := fields[schema]
			require.True(t, known, schema)
			require.Len(t, v, len(want)+1, "%s: %v", schema, v)
			for name, kind := range want {
				require.Contains(t, v, name, schema)
				require.True(t, fits(v[name], kind), "%s.%s is %T, must be %s", schema, name, v[name], kind)
			}
		}
		for _, x := range v {
			check(t, x, seen)
		}
	}
}

func fits(value any, kind string) bool {
	if kind[0] == '?' {
		return value == nil || fits(value, kind[1:])
	}
	switch v := value.(type) {
	case nil:
		return kind == "null"
	case string:
		return kind == "string"
	case bool:
		return kind == "bool"
	case float64:
		return kind == "number" && !math.IsNaN(v)
	case []any:
		return kind == "list"
	case map[string]any:
		return kind == "object" || kind[0] == '+' && v["OTIO_SCHEMA"] == kind[1:]
	}
	return false
}

// day has a clip of every rate of cameras, one without a take, and sound alone.
func day() (d dailies.Day, outputs []dailies.Output) {
	take := dailies.Recording{Path: "/takes/mill_001.wav", RateHz: 48000, Frames: 48000 * 600, Scene: "mill", Take: "1",
		Started: time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)}
	for i, text := range []string{"23.976", "24", "25", "29.97", "30", "50", "59.94", "60"} {
		rate, err := timecode.ParseRate(text)
		if err != nil {
			panic(err)
		}
		c := dailies.Clip{Recording: dailies.Recording{Path: "/card one/clip " + text + ".mp4", RateHz: 48000, Frames: 480000, Channels: 2,
			Picture: dailies.Picture{Rate: rate, Frames: rate.Frames(10), Timecode: timecode.Code{Frame: 1800, Rate: rate, Drop: rate.MayDrop()}.String()}}}
		c.Parts = []dailies.Part{{Take: take, Fit: match.Fit{OffsetS: 20, PPM: -30, ToS: 10, Agreeing: 20, Places: 20}}}
		if i == 0 {
			c.Parts[0].Fit.Jumps = []match.Jump{{AtS: 4, LostS: 0.02}}
		}
		d.Clips = append(d.Clips, c)
		outputs = append(outputs, dailies.Output{Clip: i, Path: "/out/" + text + ".wav", Frames: 480000, RateHz: 48000})
	}
	d.Clips = append(d.Clips, dailies.Clip{Recording: dailies.Recording{Path: "/card one/=sum.wav", RateHz: 44100, Frames: 441000}})
	d.Takes = []dailies.Recording{take, {Path: "/takes/mill_002.wav", RateHz: 48000, Frames: 48000, Scene: "mill", Take: "2"}}
	return d, outputs
}

func TestTheTimelineHoldsToTheSchema(t *testing.T) {
	d, outputs := day()
	var raw bytes.Buffer
	require.NoError(t, WriteOTIO(&raw, "day", d, outputs))
	var all map[string]any
	require.NoError(t, json.Unmarshal(raw.Bytes(), &all))
	seen := map[string]int{}
	check(t, all, seen)
	require.Equal(t, "Timeline.1", all["OTIO_SCHEMA"])
	require.Equal(t, []int{25, 2, 1, 3}, []int{seen["Clip.2"], seen["Gap.1"], seen["Marker.2"], seen["Track.1"]})

	tracks := all["tracks"].(map[string]any)["children"].([]any)
	for i := range d.Clips {
		var lengths []float64
		for _, track := range tracks {
			item := track.(map[string]any)["children"].([]any)[i].(map[string]any)
			_, duration := times(item["source_range"])
			lengths = append(lengths, duration)
		}
		require.InDelta(t, d.Clips[i].LengthS(), lengths[0], 1e-9)
		require.Equal(t, lengths[0], lengths[1], "the three run side by side")
		require.Equal(t, lengths[0], lengths[2])
	}
	// 29.97 drop-frame: 00:01:00;02 is picture 1800; by the clock 60.06 s.
	item := tracks[0].(map[string]any)["children"].([]any)[3].(map[string]any)
	start, _ := times(item["source_range"])
	require.InDelta(t, 60.06, start, 1e-9)
	sound := tracks[2].(map[string]any)["children"].([]any)[3].(map[string]any)
	start, _ = times(sound["source_range"])
	require.InDelta(t, 60.06, start, 1.0/48000)
	url := item["media_references"].(map[string]any)["DEFAULT_MEDIA"].(map[string]any)["target_url"]
	require.Equal(t, "file:///card%20one/clip%2029.97.mp4", url)
}

func times(source any) (start, duration float64) {
	r := source.(map[string]any)
	of := func(x any) float64 { k := x.(map[string]any); return k["value"].(float64) / k["rate"].(float64) }
	return of(r["start_time"]), of(r["duration"])
}

func TestTheTableNamesEverything(t *testing.T) {
	d, outputs := day()
	d.Failed = []dailies.Failure{{Path: "/card/bad.mp4", Err: "copy it anew"}}
	var raw bytes.Buffer
	require.NoError(t, WriteCSV(&raw, d, outputs))
	rows, err := csv.NewReader(&raw).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+8+1+1+1)
	at := func(row int, name string) string {
		for i, h := range rows[0] {
			if h == name {
				return rows[row][i]
			}
		}
		return "?"
	}
	require.Equal(t, "00:01:00;02", at(4, "timecode_in"))
	require.Equal(t, "00:01:10;02", at(4, "timecode_out"))
	require.Equal(t, "00:01:15:00", at(1, "timecode_in"))
	require.Equal(t, "20.0 ms missing at 0:04.0", at(1, "lost_sound"))
	require.Equal(t, "-30.000", at(1, "clock_ppm"))
	require.Equal(t, "'=sum.wav", at(9, "clip"))
	require.Equal(t, "no take of it", at(9, "remark"))
	require.Equal(t, "mill_002.wav", at(10, "take_file"))
	require.Equal(t, "copy it anew", at(11, "remark"))
}
