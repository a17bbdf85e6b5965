// Package take keeps a safe copy of what the camera records: it rolls takes
// into Broadcast WAV files, keeps what is known of each beside it, lists,
// mends and deletes them. It shows nothing and reads no keys.
//
// # From the audio thread to the disk
//
//	audio thread ─ Feed ─► ring (pre-record + seconds of slack) ─► recorder goroutine ─► WAV + TOML
//
// A [Recorder] keeps what came before the key, in memory. What finds no room in
// the ring, because the disk is slow, becomes silence of the same length and is
// counted, and so does the time of an input that is away: a take stays in step
// with the picture.
//
// # What is known of a take
//
// A [Take] is kept as a sheet beside its WAV. [Take.Verdict] says in a word
// whether to listen to it, and why. [Judge] measures one that nobody measured
// whole; [Take.Listed] is what scripts read.
//
// # After a crash
//
// [Recover] makes a file whole that was cut short; a second time it changes no
// byte. [Delete] moves files into a bin, from which [Undelete] brings them back.
package take

import (
	"fmt"
	"time"

	"rollready/capture/take/bwf"
	"rollready/dsp/verdict"
)

// Marker is a place in a take with a word. Frame counts from its first frame.
type Marker = bwf.Marker

// State tells how far a take has come.
type State string

// The states. A take found Rolling with nobody writing it was torn: mend it.
const (
	Rolling State = "rolling"
	Ended   State = "ended"
	Mended  State = "mended"
)

// Take is all that is known of a take but its sound. A plain value. It is
// kept as a TOML file beside the WAV, of the same name.
type Take struct {
	Version    int               `toml:"version"`
	Scene      string            `toml:"scene"`
	Number     int               `toml:"take"`
	RoomTone   bool              `toml:"room_tone"`
	Note       string            `toml:"note"`
	Circled    bool              `toml:"circled"` // the good one
	State      State             `toml:"state"`
	Started    time.Time         `toml:"started"` // of the first frame
	LeadFrames int64             `toml:"lead_frames" comment:"recorded before the key was pressed"`
	Frames     int64             `toml:"frames"`
	RateHz     int               `toml:"rate_hz"`
	Encoding   string            `toml:"encoding"`
	Tracks     []string          `toml:"tracks"`
	Lost       int64             `toml:"lost_frames" comment:"silence in place of an input that was away"`
	Lag        int64             `toml:"lag_frames" comment:"silence because the disk was too slow"`
	Dropouts   int64             `toml:"dropout_frames" comment:"lost before the recorder"`
	OffsetDB   float64           `toml:"camera_offset_db" comment:"camera reading less output level"`
	ClipDBFS   float64           `toml:"camera_clip_dbfs" comment:"where the camera clips, on its own scale"`
	Markers    []Marker          `toml:"markers"`
	Events     []Event           `toml:"events"`
	Judged     bool              `toml:"judged" comment:"measured whole: findings and levels are known"`
	Findings   []verdict.Finding `toml:"findings"`
	Levels     Levels            `toml:"levels"`
	Picture    Picture           `toml:"picture"`

	Path string `toml:"-"` // of the WAV
	Live bool   `toml:"-"` // somebody is recording it now
}

// Event is something that went wrong or changed during a take.
type Event struct {
	At    time.Time    `toml:"at"`
	Frame int64        `toml:"frame"` // from the first frame
	Kind  verdict.Code `toml:"kind"`
	Text  string       `toml:"text"`
}

// Duration is the take's length.
func (t Take) Duration() time.Duration { return duration(t.Frames, t.RateHz) }

// Start writes when the take began, by a layout of package time; unknown is
// what stands for a time that nobody knows.
func (t Take) Start(layout, unknown string) string {
	if t.Started.IsZero() {
		return unknown
	}
	return t.Started.Format(layout)
}

// Title names the take: "12A take 3" or "12A room tone 1"; a file without a
// number by its name.
func (t Take) Title() string {
	if t.Number == 0 && !t.RoomTone {
		return t.Scene
	}
	if t.RoomTone {
		return fmt.Sprintf("%s room tone %d", t.Scene, t.Number)
	}
	return fmt.Sprintf("%s take %d", t.Scene, t.Number)
}

func (t Take) seconds(frames int64) float64 { return duration(frames, t.RateHz).Seconds() }

func duration(frames int64, rateHz int) time.Duration {
	if rateHz <= 0 {
		return 0
	}
	return time.Duration(float64(frames) / float64(rateHz) * float64(time.Second))
}

// meta is what goes into the WAV.
func (t Take) meta() bwf.Meta {
	number := fmt.Sprint(t.Number)
	return bwf.Meta{Scene: t.Scene, Take: number, Note: t.Note, Circled: t.Circled, RoomTone: t.RoomTone,
		Started: t.Started, Tracks: t.Tracks, Loudness: t.Levels.bext()}
}
