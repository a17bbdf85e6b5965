package dailies

import (
	"context"
	"encoding/json"
	"fmt"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"rollready/dsp/timecode"
)

// pictures are the endings of containers that may hold a picture.
var pictures = []string{".mov", ".mp4", ".m4v", ".mkv", ".mts", ".m2ts", ".mxf", ".avi", ".mpg", ".webm"}

// probed is what ffprobe says of a container.
type probed struct {
	Streams []struct {
		Kind      string `json:"codec_type"`
		Rate      string `json:"r_frame_rate"`
		Mean      string `json:"avg_frame_rate"`
		Frames    string `json:"nb_frames"`
		Duration  string `json:"duration"`
		StartTime string `json:"start_time"`
		Tags      struct {
			Timecode string `json:"timecode"`
		} `json:"tags"`
		Disposition struct {
			Still int `json:"attached_pic"`
		} `json:"disposition"`
	} `json:"streams"`
	Format struct {
		Duration string `json:"duration"`
		Tags     struct {
			Timecode string `json:"timecode"`
		} `json:"tags"`
	} `json:"format"`
}

// probe asks ffprobe for the picture of a clip; sound alone has none.
func probe(ctx context.Context, path string) (Picture, error) {
	if !slices.Contains(pictures, strings.ToLower(filepath.Ext(path))) {
		return Picture{}, nil
	}
	program, err := exec.LookPath("ffprobe")
	if err != nil {
		return Picture{}, fmt.Errorf("read %s: ffprobe is not installed: it comes with ffmpeg: install that", path)
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return Picture{}, err
	}
	raw, err := exec.CommandContext(ctx, program, "-v", "error", "-print_format", "json", "-show_streams", "-show_format", "file:"+full).Output()
	if ctx.Err() != nil {
		return Picture{}, ctx.Err()
	}
	var p probed
	if err != nil || json.Unmarshal(raw, &p) != nil {
		return Picture{}, fmt.Errorf("read %s: ffprobe can't read it: copy the clip anew", path)
	}
	return p.picture(), nil
}

func (p probed) picture() (out Picture) {
	pictureAt, soundAt, sound := 0.0, 0.0, false
	for _, s := range p.Streams {
		switch {
		case s.Kind == "video" && s.Disposition.Still == 0 && out.Rate.Num == 0:
			out.Rate = rateOf(s.Mean, s.Rate)
			out.Frames, _ = strconv.ParseInt(s.Frames, 10, 64)
			if out.Frames == 0 {
				out.Frames = out.Rate.Frames(firstOf(s.Duration, p.Format.Duration))
			}
			pictureAt = number(s.StartTime)
		case s.Kind == "audio" && !sound:
			soundAt, sound = number(s.StartTime), true
		}
		if out.Timecode == "" {
			out.Timecode = s.Tags.Timecode
		}
	}
	if out.Timecode == "" {
		out.Timecode = p.Format.Tags.Timecode
	}
	if out.Rate.Num == 0 {
		return Picture{}
	}
	if _, err := timecode.Parse(out.Timecode, out.Rate); err != nil {
		out.Timecode = ""
	}
	if out.Mute = !sound; sound {
		out.SoundLateS = soundAt - pictureAt
	}
	return out
}

// rateOf takes the mean rate, or the one that the container claims.
func rateOf(texts ...string) timecode.Rate {
	for _, text := range texts {
		if r, err := timecode.ParseRate(text); err == nil {
			return r
		}
	}
	return timecode.Rate{}
}

func firstOf(texts ...string) float64 {
	for _, text := range texts {
		if x := number(text); x > 0 {
			return x
		}
	}
	return 0
}

func number(text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || x-x != 0 {
		return 0
	}
	return x
}

// code is the timecode of the first picture.
func (p Picture) code() (timecode.Code, bool) {
	c, err := timecode.Parse(p.Timecode, p.Rate)
	return c, err == nil && p.Timecode != ""
}

// Start is the timecode of the first picture, zero where the clip has none.
func (p Picture) Start() timecode.Code {
	if c, ok := p.code(); ok {
		return c
	}
	return timecode.Code{Rate: p.Rate, Drop: p.Rate.MayDrop()}
}
