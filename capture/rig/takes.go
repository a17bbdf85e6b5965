package rig

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"rollready/capture"
	"rollready/capture/dailies"
	"rollready/capture/take"
	"rollready/dsp/strips"
	"rollready/presets"
)

// Playing is a take that stands in for the input.
type Playing struct {
	Take   take.Take
	Raw    bool   // its input tracks through the chain, else as recorded
	Clip   string // path of the clip it is played against, "" where there is none
	Clips  bool   // … which is what is heard, not the take
	backTo string // input to go back to, as Switch takes it
	pick   string // its channels

	both    *dailies.Playback
	leaving bool // on the way back
}

// Roll begins a take. Where a take is played back the input comes first: what
// rolls is always the microphone. It may wait for a device and the disk.
func (r *Rig) Roll(w take.What) (take.Take, error) {
	if now := r.parts.Recorder.Status(); now.Rolling {
		return now.Take, Refusal(now.Take.Title() + " is rolling: ctrl-r stops it")
	}
	r.CallOff()
	if _, err := r.Back(); err != nil {
		return take.Take{}, err
	}
	r.soloOff()
	t, err := r.parts.Recorder.Roll(w)
	if err == nil && r.play != nil {
		r.play()
	}
	return t, err
}

// soundPatience is how long an input may take until its first frames.
const soundPatience = 10 * time.Second

// AwaitSound waits until there is sound to record, and so much of it as is to go
// before the take. A file waits for the take instead.
func (r *Rig) AwaitSound(ctx context.Context, before time.Duration) error {
	begun := time.Now()
	tick := time.NewTicker(lookEvery / 2)
	defer tick.Stop()
	for {
		rec, in := r.parts.Recorder.Status(), r.parts.Engine.Status()
		switch {
		case in.Kind == capture.File, rec.Fed > 0 && (rec.Kept+lookEvery/2 >= before || in.Ended):
			return nil
		case rec.Fed == 0 && time.Since(begun) > soundPatience:
			return fmt.Errorf("%s delivers no sound: see rollready devices, or unplug it and plug it in again", in.Called())
		}
		select {
		case <-ctx.Done():
			return errors.New("interrupted before the take began; nothing was recorded")
		case <-tick.C:
		}
	}
}

// Stop ends the take; one that ended by itself meanwhile is no error. It waits
// for the disk.
func (r *Rig) Stop() (take.Take, error) {
	t, err := r.parts.Recorder.Stop()
	if errors.Is(err, take.ErrNotRolling) {
		err = nil
	}
	return t, err
}

// Slate sounds the slate tone in take and camera, and marks it.
func (r *Rig) Slate() error {
	if !r.parts.Recorder.Status().Rolling {
		return Refusal("The slate tone needs a rolling take: ctrl-r rolls")
	}
	r.parts.Recorder.Slate()
	return nil
}

// SetRecording changes how and where takes are recorded. It waits for the
// disk; the settings follow when the recorder does.
func (r *Rig) SetRecording(set presets.Recording) error {
	if r.parts.Recorder.Status().Rolling {
		return Refusal("A take is rolling: stop it first (ctrl-r)")
	}
	if err := r.parts.Recorder.Set(set); err != nil {
		return err
	}
	r.Change(func(s *presets.Settings) {
		set.Scene = s.Recording.Scene
		s.Recording = set
	})
	return nil
}

// Switch goes over to another input. It waits for the device; on error the
// present one stays. name is what a person calls it.
func (r *Rig) Switch(input, name, channels string) error {
	if r.parts.Recorder.Status().Rolling {
		return Refusal("A take is rolling from this input: stop it first (ctrl-r)")
	}
	if err := r.parts.Switch(input, channels); err != nil {
		return fmt.Errorf("%s: %w; the present input stays", name, err)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.playing = nil
	r.parts.Engine.SetStrips(r.heard())
	r.settings.Input, r.settings.InputName, r.settings.Channels = input, name, channels
	r.settings.InputTwin = r.parts.Engine.Status().Mark != ""
	r.keep()
	return nil
}

// Play plays a take in place of the input: as it was recorded, the chain
// bypassed, or what came from the microphone through the chain as it is now.
// It waits for the file.
func (r *Rig) Play(t take.Take, raw bool) error {
	kind := "processed"
	if raw {
		kind = "input"
	}
	pick := channelsNamed(t.Tracks, kind)
	switch {
	case r.parts.Recorder.Status().Rolling:
		return rollsNow
	case pick == "":
		return Refusal(t.Title() + " has no " + kind + " tracks")
	}
	on := r.instead(Playing{Take: t, Raw: raw})
	if err := r.parts.Switch("file:"+t.Path, pick); err != nil {
		return fmt.Errorf("play back %s: %w", t.Title(), err)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.stands(&on)
	return nil
}

const rollsNow = Refusal("A take is rolling: it records the microphone, so nothing is played back")

// PlayBeside plays a take against a clip that lies over it, in place of the
// input: both run together, equally loud; the clip is heard first, and Swap
// goes from one to the other. The chain is bypassed. It waits until the clip
// is read.
func (r *Rig) PlayBeside(t take.Take, p dailies.Pair) error {
	if r.parts.Recorder.Status().Rolling {
		return rollsNow
	}
	var both atomic.Pointer[dailies.Playback]
	open := func() (capture.Source, error) {
		b, err := dailies.NewPlayback(context.Background(), t.Path, p, true)
		if err != nil {
			return nil, err
		}
		b.Hear(dailies.HearClip)
		both.Store(b)
		return b, nil
	}
	on := r.instead(Playing{Take: t, Clip: p.Clip, Clips: true})
	if err := r.parts.Stand(open); err != nil {
		return fmt.Errorf("play back %s: %w", t.Title(), err)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	on.both = both.Load()
	r.stands(&on)
	return nil
}

// Swap goes from the take to its clip, or back, where the two are played
// against each other, and tells whether they are.
func (r *Rig) Swap() (swapped bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.playing == nil || r.playing.Clip == "" {
		return false
	}
	r.playing.Clips = !r.playing.Clips
	if side := dailies.HearTake; r.playing.both != nil {
		if r.playing.Clips {
			side = dailies.HearClip
		}
		r.playing.both.Hear(side)
	}
	return true
}

// instead notes to what input the way back will lead.
func (r *Rig) instead(on Playing) Playing {
	isDemo := r.parts.Engine.Status().Kind == capture.Demo
	r.mu.Lock()
	defer r.mu.Unlock()
	on.backTo, on.pick = r.settings.Input, r.settings.Channels
	switch {
	case r.playing != nil: // from one take to the next
		on.backTo, on.pick = r.playing.backTo, r.playing.pick
	case isDemo:
		on.backTo = "demo"
	}
	return on
}

// stands takes note of what stands in for the input now: figures are of one
// sound, not of two.
func (r *Rig) stands(on *Playing) {
	r.playing = on
	r.parts.Engine.SetStrips(r.heard())
	r.resetHolds()
}

// channelsNamed picks the tracks whose names begin so, "" if there are none.
func channelsNamed(tracks []string, kind string) string {
	var picks []string
	for i, name := range tracks {
		if strings.HasPrefix(name, kind) && len(picks) < strips.Max {
			picks = append(picks, strconv.Itoa(i+1))
		}
	}
	return strings.Join(picks, "+")
}

// heard are the strips that the sound goes through: plain ones where a take is
// played as it was recorded.
func (r *Rig) heard() strips.Settings {
	if !r.plays() {
		return strips.Settings{}
	}
	return r.settings.Strips
}

// plays tells that the sound goes through the strips.
func (r *Rig) plays() bool { return r.playing == nil || r.playing.Raw }

// Back goes from a take that is played to the input, and tells whether it did.
// It waits for the device.
func (r *Rig) Back() (back bool, err error) {
	r.mu.Lock()
	p := r.playing
	if p == nil || p.leaving {
		r.mu.Unlock()
		return false, nil
	}
	p.leaving = true
	r.mu.Unlock()
	err = r.parts.Switch(p.backTo, p.pick)
	r.mu.Lock()
	defer r.mu.Unlock()
	if err != nil {
		p.leaving = false
		return false, fmt.Errorf("the input is not back: %w; choose it in Setup", err)
	}
	if r.playing == p {
		r.stands(nil)
	}
	return true, nil
}

// failure is why the last take ended by itself, "" if it did not or the user
// has seen it.
func (r *Rig) failure(now take.Status) string {
	if now.Problem == nil || now.Rolling || r.seen == now.Take.Path+now.Problem.Error() {
		return ""
	}
	return now.Problem.Error()
}

// SeenFailure notes that the user has seen why a take was broken off.
func (r *Rig) SeenFailure() {
	now := r.parts.Recorder.Status()
	r.mu.Lock()
	defer r.mu.Unlock()
	if why := r.failure(now); why != "" {
		r.seen = now.Take.Path + why
	}
}
