package tui

import (
	"time"

	"rollready/capture/take"
	"rollready/dsp/camera"
	"rollready/presets"
)

// Recorder records the takes and keeps them, as the screens see it. It never
// waits for the screens: a terminal that hangs costs no sound.
type Recorder interface {
	// These return at once.
	Status() take.Status
	Here() int64 // place of the sound that comes now
	MarkAt(at int64, text string)
	Note(text string) // of the rolling take
	Slate()
	SetCamera(camera.Scale)
	Folder() string

	// These may wait for the disk: called in commands.
	Roll(take.What) (take.Take, error)
	Stop() (take.Take, error)
	Set(presets.Recording) error
	Next(scene string) int // number of the next take
	Takes() ([]take.Found, error)
	Mend() ([]take.Recovered, error)
	Change(wav string, alter func(*take.Take)) (take.Take, error)
	Delete(wav string) (take.Deleted, error)
	Undo(take.Deleted) error
	Report(day time.Time) (page string, err error)
}
