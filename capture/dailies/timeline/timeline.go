// Package timeline writes a day for editing programs: as OpenTimelineIO, the
// open interchange format of the Academy Software Foundation, and as CSV for
// paper and tables.
//
// The timeline holds the clips one behind the other: their pictures, the
// camera's own sound, and the sound that was written for them. Times of the
// picture count pictures at the camera's exact rate (29.97 is 30000/1001),
// those of the sound count samples from midnight, as its time reference does.
package timeline

import (
	"encoding/json"
	"io"
	"net/url"
	"path/filepath"

	"rollready/capture/dailies"
)

type object map[string]any

func rationalTime(value, rate float64) object {
	return object{"OTIO_SCHEMA": "RationalTime.1", "value": value, "rate": rate}
}

func timeRange(start, duration object) object {
	return object{"OTIO_SCHEMA": "TimeRange.1", "start_time": start, "duration": duration}
}

// item is what a clip, a gap, a track and a stack have in common.
func item(schema, name string, source any) object {
	return object{"OTIO_SCHEMA": schema, "name": name, "metadata": object{}, "source_range": source,
		"effects": []any{}, "markers": []any{}, "enabled": true}
}

func media(path string, available object) object {
	return object{"OTIO_SCHEMA": "ExternalReference.1", "name": filepath.Base(path), "metadata": object{},
		"available_range": available, "available_image_bounds": nil, "target_url": fileURL(path)}
}

// fileURL is the address of a file. A drive's letter of Windows gets a slash.
func fileURL(path string) string {
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	path = filepath.ToSlash(path)
	if path != "" && path[0] != '/' {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}

func clip(name string, source, reference, about object) object {
	c := item("Clip.2", name, source)
	c["media_references"] = object{"DEFAULT_MEDIA": reference}
	c["active_media_reference_key"] = "DEFAULT_MEDIA"
	c["metadata"] = object{"rollready": about}
	return c
}

func track(name, kind string, children []any) object {
	t := item("Track.1", name, nil)
	t["children"], t["kind"] = children, kind
	return t
}

// WriteOTIO writes the timeline. The outputs are those that were written for
// the day's clips.
func WriteOTIO(w io.Writer, name string, d dailies.Day, outputs []dailies.Output) error {
	var picture, camera, sound []any
	for i, c := range d.Clips {
		out := outputOf(outputs, i)
		picture = append(picture, pictureItem(c))
		camera = append(camera, cameraItem(c))
		sound = append(sound, soundItem(c, out))
	}
	stack := item("Stack.1", "tracks", nil)
	stack["children"] = []any{track("picture", "Video", picture), track("camera sound", "Audio", camera), track("sound", "Audio", sound)}
	raw, err := json.MarshalIndent(object{"OTIO_SCHEMA": "Timeline.1", "name": name, "metadata": object{},
		"global_start_time": nil, "tracks": stack}, "", "  ")
	if err != nil {
		return err
	}
	_, err = w.Write(append(raw, '\n'))
	return err
}

func outputOf(outputs []dailies.Output, clip int) *dailies.Output {
	for i := range outputs {
		if outputs[i].Clip == clip && !outputs[i].Mended {
			return &outputs[i]
		}
	}
	return nil
}

// length is how long a clip lasts, in pictures or, of sound alone, in samples.
func length(c dailies.Clip) object {
	if p := c.Picture; p.Frames > 0 {
		return rationalTime(float64(p.Frames), p.Rate.PerSecond())
	}
	return rationalTime(float64(c.Frames), float64(c.RateHz))
}

// begin is the first picture, by the clip's timecode.
func begin(c dailies.Clip) object {
	if p := c.Picture; p.Frames > 0 {
		return rationalTime(float64(p.Start().Frame), p.Rate.PerSecond())
	}
	return rationalTime(0, float64(c.RateHz))
}

func gap(c dailies.Clip) object {
	from := length(c)
	return item("Gap.1", "", timeRange(rationalTime(0, from["rate"].(float64)), from))
}

func pictureItem(c dailies.Clip) object {
	if c.Picture.Frames == 0 {
		return gap(c)
	}
	whole := timeRange(begin(c), length(c))
	about := object{"frame_rate": c.Picture.Rate.String(), "timecode": c.Picture.Timecode}
	return clip(dailies.Stem(c.Path), whole, media(c.Path, whole), about)
}

func cameraItem(c dailies.Clip) object {
	whole := timeRange(begin(c), length(c))
	k := clip(dailies.Stem(c.Path), whole, media(c.Path, whole), object{})
	k["markers"] = markers(c)
	return k
}

// markers show where the camera's sound lost time.
func markers(c dailies.Clip) []any {
	all := []any{}
	for _, p := range c.Parts {
		for _, j := range p.Fit.Jumps {
			at, rate := j.AtS+c.Picture.SoundLateS, float64(c.RateHz)
			start := begin(c)
			place := start["value"].(float64)/start["rate"].(float64) + at
			all = append(all, object{"OTIO_SCHEMA": "Marker.2", "name": "sound lost", "metadata": object{}, "color": "RED",
				"marked_range": timeRange(rationalTime(place*rate, rate), rationalTime(0, rate)), "comment": c.Lost(j)})
		}
	}
	return all
}

func soundItem(c dailies.Clip, out *dailies.Output) object {
	if out == nil {
		return gap(c)
	}
	rate := float64(out.RateHz)
	start := rationalTime(float64(c.TimeReference(out.RateHz)), rate)
	var parts []any
	for _, p := range c.Parts {
		parts = append(parts, object{"take": filepath.Base(p.Take.Path), "from_s": p.FromS(c.Recording), "to_s": p.ToS(c.Recording),
			"take_offset_s": p.TakeS(c.Recording, 0), "clock_ppm": p.Fit.PPM})
	}
	return clip(dailies.Stem(out.Path), timeRange(start, length(c)),
		media(out.Path, timeRange(start, rationalTime(float64(out.Frames), rate))), object{"parts": parts})
}
