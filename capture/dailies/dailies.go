// Package dailies brings clips and takes together at the end of the day: it
// finds by the sound alone which clip belongs to which take, writes for every
// clip a Broadcast Wave of exactly its length that runs with its picture, a
// timeline, and the day's report.
//
// # The way of a day
//
//	[Find] prints of all recordings (kept) ─► hits ─► waves compared ─► [Day]
//	[Day] ─► [Write] Broadcast Waves, mended camera sound
//	[Day] ─► dailies/timeline (OpenTimelineIO, CSV) and dailies/page (HTML)
//
// Recordings are only read. What was found out is kept in a folder of the
// caller's, so that one clip more costs one clip.
package dailies

import (
	"time"

	"rollready/capture/track"
	"rollready/dsp/match"
	"rollready/dsp/timecode"
	"rollready/dsp/verdict"
)

// Recording is a clip or a take. A plain value.
type Recording struct {
	Path     string        `json:"path"`
	Key      string        `json:"key"` // of this state of the file
	RateHz   int           `json:"sample_rate_hz"`
	Channels int           `json:"channels"`
	Frames   int64         `json:"frames"`
	Channel  int           `json:"channel"` // the liveliest, from 0
	Changed  time.Time     `json:"changed"`
	Picture  Picture       `json:"picture"`
	Scene    string        `json:"scene"`
	Take     string        `json:"take"`
	Started  time.Time     `json:"started,omitzero"` // of the first frame, zero if the file doesn't say
	Tracks   []track.Track `json:"tracks"`
	Bits     int           `json:"bits"`

	Findings []verdict.Finding `json:"findings"` // of Judge
}

// Picture is what a clip's container says of its picture; the zero Picture is
// sound alone.
type Picture struct {
	Rate       timecode.Rate `json:"rate"`
	Frames     int64         `json:"frames"`
	Timecode   string        `json:"timecode"`
	SoundLateS float64       `json:"sound_late_s"` // how much later than the picture the sound begins
	Mute       bool          `json:"mute"`         // there is no sound to it
}

// Seconds is how long the sound lasts.
func (r Recording) Seconds() float64 { return float64(r.Frames) / float64(max(1, r.RateHz)) }

// LengthS is how long the clip lasts: its picture, or the sound alone.
func (r Recording) LengthS() float64 {
	if r.Picture.Frames > 0 {
		return r.Picture.Rate.Seconds(r.Picture.Frames)
	}
	return r.Seconds()
}

// Part is a stretch of a clip that a take covers. A plain value.
type Part struct {
	Take Recording `json:"take"`
	Fit  match.Fit `json:"fit"` // of the sounds
}

// FromS and ToS are the stretch in seconds of the clip's picture.
func (p Part) FromS(c Recording) float64 { return max(0, p.Fit.FromS+c.Picture.SoundLateS) }

// ToS is the end of the stretch; a take that covers the sound to its last
// frame covers the picture that goes on, as far as it itself goes on.
func (p Part) ToS(c Recording) float64 {
	takeEnds := (p.Take.Seconds() - p.Fit.OffsetS) / (1 + p.Fit.PPM*1e-6)
	return min(c.LengthS(), takeEnds+c.Picture.SoundLateS)
}

// TakeS gives the moment of the take that belongs to one of the clip's picture.
func (p Part) TakeS(c Recording, clipS float64) float64 {
	return p.Fit.TakeS(clipS - c.Picture.SoundLateS)
}

// Clip is what was found out about a clip. A plain value.
type Clip struct {
	Recording
	Parts  []Part   `json:"parts"`  // in order of time; none: without a take
	Rivals []string `json:"rivals"` // takes that fit as well, where there is no telling
	Silent bool     `json:"silent"` // nothing to be heard in it
	Heard  *Heard   `json:"heard"`  // nil: not listened to
}

// Failure is a file that could not be read.
type Failure struct {
	Path string `json:"path"`
	Err  string `json:"error"`
}

// Day is all that was found out. A plain value.
type Day struct {
	Clips  []Clip      `json:"clips"`
	Takes  []Recording `json:"takes"`
	Failed []Failure   `json:"failed"`
}

// Listed is the same with empty lists in place of nil ones, for JSON.
func (d Day) Listed() Day {
	d.Clips, d.Takes, d.Failed = list(d.Clips), list(d.Takes), list(d.Failed)
	for i := range d.Takes {
		d.Takes[i].listed()
	}
	for i := range d.Clips {
		c := &d.Clips[i]
		c.listed()
		c.Parts, c.Rivals = list(c.Parts), list(c.Rivals)
		for k := range c.Parts {
			p := &c.Parts[k]
			p.Take.listed()
			p.Fit.Jumps, p.Fit.PivotsS = list(p.Fit.Jumps), list(p.Fit.PivotsS)
		}
		if c.Heard != nil {
			heard := *c.Heard
			heard.Stretches = list(heard.Stretches)
			c.Heard = &heard
		}
	}
	return d
}

func (r *Recording) listed() { r.Tracks, r.Findings = list(r.Tracks), list(r.Findings) }

func list[T any](l []T) []T { return append([]T{}, l...) }

// Alone are the takes that no clip was found for.
func (d Day) Alone() (alone []Recording) {
	used := map[string]bool{}
	for _, c := range d.Clips {
		for _, p := range c.Parts {
			used[p.Take.Path] = true
		}
	}
	for _, t := range d.Takes {
		if !used[t.Path] {
			alone = append(alone, t)
		}
	}
	return alone
}

// Seconds is the length of everything together.
func (d Day) Seconds() (sum float64) {
	for _, c := range d.Clips {
		sum += c.Seconds()
	}
	for _, t := range d.Takes {
		sum += t.Seconds()
	}
	return sum
}
