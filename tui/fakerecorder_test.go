package tui

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"rollready/capture/take"
	"rollready/dsp/camera"
	"rollready/dsp/loudness"
	"rollready/dsp/verdict"
	"rollready/presets"
)

// fakeRecorder keeps takes in memory.
type fakeRecorder struct {
	mu     sync.Mutex
	status take.Status
	takes  []take.Found
	mended []take.Recovered
	set    presets.Recording
	scale  camera.Scale
	slates int
	fails  error // of what would write
	folder string
}

func newFakeRecorder() *fakeRecorder {
	return &fakeRecorder{status: take.Status{DiskLeft: 754 * time.Minute}, folder: "/media/card/Takes"}
}

func (r *fakeRecorder) Status() take.Status      { r.mu.Lock(); defer r.mu.Unlock(); return r.status }
func (r *fakeRecorder) Here() int64              { return r.Status().Take.Frames }
func (r *fakeRecorder) SetCamera(c camera.Scale) { r.scale = c }
func (r *fakeRecorder) Folder() string           { return r.folder }

func (r *fakeRecorder) MarkAt(at int64, text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.status.Take.Markers = append(slices.Clone(r.status.Take.Markers), take.Marker{Frame: at, Text: text})
}

func (r *fakeRecorder) Note(text string) { r.mu.Lock(); r.status.Take.Note = text; r.mu.Unlock() }
func (r *fakeRecorder) Slate()           { r.slates++ }

func (r *fakeRecorder) Roll(w take.What) (take.Take, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.fails != nil {
		return take.Take{}, r.fails
	}
	t := take.Take{Scene: w.Scene, Number: len(r.takes) + 1, RoomTone: w.RoomTone, State: take.Rolling, RateHz: 48000,
		Started: time.Date(2024, 5, 17, 10, len(r.takes), 0, 0, time.UTC), LeadFrames: 5 * 48000,
		Encoding: "24-bit", Tracks: []string{"processed 1", "processed 2", "input 1", "input 2"}}
	t.Path = filepath.Join(r.Folder(), fmt.Sprintf("%s_%03d.wav", w.Scene, t.Number))
	r.status.Rolling, r.status.Take, r.status.Problem = true, t, nil
	r.takes = append(r.takes, take.Found{Take: t})
	return t, nil
}

func (r *fakeRecorder) Stop() (take.Take, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.fails != nil {
		return take.Take{}, r.fails
	}
	t := r.status.Take
	t.State = take.Ended
	r.status.Rolling, r.status.Take = false, t
	r.takes[len(r.takes)-1].Take = t
	return t, nil
}

// endAlone ends the take as the recorder may.
func (r *fakeRecorder) endAlone(why error) {
	_, _ = r.Stop()
	r.mu.Lock()
	r.status.Problem = why
	r.mu.Unlock()
}

func (r *fakeRecorder) Set(set presets.Recording) error {
	if r.fails == nil {
		r.set = set
	}
	return r.fails
}

func (r *fakeRecorder) Next(string) int                 { return len(r.takes) + 1 }
func (r *fakeRecorder) Takes() ([]take.Found, error)    { return slices.Clone(r.takes), nil }
func (r *fakeRecorder) Mend() ([]take.Recovered, error) { return r.mended, nil }

func (r *fakeRecorder) find(wav string) int {
	return slices.IndexFunc(r.takes, func(f take.Found) bool { return f.Take.Path == wav })
}

func (r *fakeRecorder) Change(wav string, alter func(*take.Take)) (take.Take, error) {
	i := r.find(wav)
	alter(&r.takes[i].Take)
	return r.takes[i].Take, r.fails
}

func (r *fakeRecorder) Delete(wav string) (take.Deleted, error) {
	i := r.find(wav)
	if i < 0 {
		return take.Deleted{}, errors.New("no such take")
	}
	gone := r.takes[i]
	r.takes = slices.Delete(r.takes, i, i+1)
	r.mended = nil
	return take.Deleted{Wav: gone.Take.Path}, nil
}

func (r *fakeRecorder) Undo(d take.Deleted) error {
	t := someTakes()[0]
	t.Take.Path = d.Wav
	r.takes = append(r.takes, t)
	return nil
}

func (r *fakeRecorder) Report(day time.Time) (string, error) {
	return filepath.Join(r.Folder(), "sound report "+day.Format("2006-01-02")+".html"), r.fails
}

// someTakes is a morning's work.
func someTakes() []take.Found {
	levels := take.Levels{InputPeakDBTP: -9.2, OutputPeakDBTP: -6.2, CameraPeakDBTP: -8.4, Whole: loudness.Whole{IntegratedLUFS: -23.6, RangeLU: 5.1}, NoiseFloorDBFS: -61.3}
	var curve []float64
	for i := range 300 {
		curve = append(curve, -30+20*float64(i*7919%100)/100-float64(i%60)/4)
	}
	make := func(n int, minutes float64, note string) take.Take {
		return take.Take{Scene: "12A", Number: n, State: take.Ended, RateHz: 48000, Frames: int64(minutes * 60 * 48000), LeadFrames: 5 * 48000,
			Started: time.Date(2024, 5, 17, 9, 10*n, 0, 0, time.UTC), Note: note, Judged: true, Levels: levels, Encoding: "24-bit",
			Tracks: []string{"processed 1", "processed 2", "input 1", "input 2"}, Picture: take.Picture{StepSeconds: 0.3, PeakDBFS: curve},
			Path: fmt.Sprintf("/media/card/Takes/12A_%03d.wav", n)}
	}
	first, second, third := make(1, 1.4, ""), make(2, 3.2, "plane over the harbour wall from the second answer on"), make(3, 12.7, "the one with the gulls")
	second.Levels.Clips, second.Dropouts = 2, 480
	second.Markers = []take.Marker{{Frame: 48000 * 31, Text: "slate"}, {Frame: 48000 * 75, Text: "second answer"}}
	second.Events = []take.Event{{Frame: 48000 * 80, Kind: verdict.InputClipped, Text: "input clipped: turn the interface's gain down"},
		{Frame: 48000 * 150, Kind: verdict.Silence, Text: "no sound for 10 s: is the microphone on?"}}
	third.Circled = true
	room := make(1, 0.5, "")
	room.RoomTone, room.LeadFrames, room.Path = true, 0, "/media/card/Takes/12A_room-1.wav"
	var all []take.Found
	for _, t := range []take.Take{first, room, second, third} {
		all = append(all, take.Found{Take: t})
	}
	return all
}

// rollFake makes the recorder roll for a while.
func rollFake(r *fakeRecorder, elapsed time.Duration, alarms ...take.Alarm) {
	r.takes = someTakes()
	t, _ := r.Roll(take.What{Scene: "12A"})
	t.Frames = int64(elapsed.Seconds() * 48000)
	t.Markers = []take.Marker{{Frame: 48000 * 8, Text: "slate"}, {Frame: 48000 * 141, Text: "second answer"}}
	for _, a := range alarms {
		t.Events = append(t.Events, take.Event{Frame: t.Frames - 48000, Kind: a.Kind, Text: a.Text})
	}
	r.takes[len(r.takes)-1].Take = t
	r.status.Take, r.status.Elapsed, r.status.Alarms = t, elapsed, alarms
}
