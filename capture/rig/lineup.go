package rig

import (
	"cmp"
	"errors"
	"slices"

	"rollready/capture/mixer"
	"rollready/dsp/lineup"
	"rollready/dsp/lineup/tone"
	"rollready/presets"
)

// ErrNoOutput says that there is nothing to send to.
var ErrNoOutput = errors.New("there is no output to send to: connect one, then r looks again")

// LineUp is where the line-up stands. A plain value.
type LineUp struct {
	LineState
	Tone    tone.Settings  // as set
	Outputs []Device       // to send to, as last looked for
	Chosen  Device         // of Outputs, zero where there is none
	Feeds   presets.Output // that feeds the camera; none: unknown
}

// lineUp is what the rig remembers of it. Guarded by the rig's mu.
type lineUp struct {
	tone    tone.Settings
	outputs []Device
	chosen  int
	feeds   presets.Output
	offered string          // the output that was offered to feed the camera
	before  *presets.Camera // the profile before the last figure was kept
}

func (l *lineUp) output() Device {
	if l.chosen < len(l.outputs) {
		return l.outputs[l.chosen]
	}
	return Device{}
}

func (l *lineUp) show(s *LineUp) {
	s.Tone, s.Outputs, s.Chosen, s.Feeds = l.tone, l.outputs, l.output(), l.feeds
}

// noteFeed notes over which output the camera is fed: the one in use, while
// there is none the one chosen.
func (l *lineUp) noteFeed() {
	l.feeds = l.output().Output()
	if i := slices.IndexFunc(l.outputs, func(o Device) bool { return o.InUse }); i >= 0 {
		l.feeds = l.outputs[i].Output()
	}
}

// LookForOutputs looks what there is to send to. The one chosen stays; at
// first it is that of the line-up, else the default. It may take seconds.
func (r *Rig) LookForOutputs() error {
	found, err := r.parts.Line.Outputs()
	r.mu.Lock()
	defer r.mu.Unlock()
	l := &r.line
	want := l.output().Output()
	if want.Name == "" {
		want = r.camera.LinedUpWith
	}
	l.outputs, l.chosen = found, again(want, found)
	l.noteFeed()
	return err
}

// again gives the place of an output looked for before, else of the default.
func again(want presets.Output, among []Device) int {
	for _, is := range []func(Device) bool{
		func(o Device) bool { return want.Is(o.Output()) },
		func(o Device) bool { return o.Default },
	} {
		if i := slices.IndexFunc(among, is); i >= 0 {
			return i
		}
	}
	return 0
}

// ChooseOutput chooses the nth output after the present one to send to.
func (r *Rig) ChooseOutput(n int) error {
	if r.parts.Line.State().Sounds != Quiet {
		return Refusal("Stop what sounds first (space)")
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if all := len(r.line.outputs); all > 0 {
		r.line.chosen = (r.line.chosen + n + all) % all
		r.line.noteFeed()
	}
	return nil
}

// SetTone changes the tone, also while it sounds.
func (r *Rig) SetTone(s tone.Settings) {
	s.LevelDBFS = min(max(s.LevelDBFS, tone.MinDBFS), tone.MaxDBFS)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.line.tone = s
	r.parts.Line.Set(s)
}

// StartTone lets the tone rise on the output chosen. It waits for the device.
func (r *Rig) StartTone() error {
	return r.send(func(output string, s tone.Settings) error { return r.parts.Line.Tone(output, s) })
}

// SendSequence sends the sequence over the output chosen. It waits for the
// device, not for the end.
func (r *Rig) SendSequence() error {
	return r.send(func(output string, _ tone.Settings) error { return r.parts.Line.Sequence(output) })
}

func (r *Rig) send(sound func(output string, s tone.Settings) error) error {
	r.mu.Lock()
	none, choice, set := len(r.line.outputs) == 0, r.line.output().Choice, r.line.tone
	r.mu.Unlock()
	if none {
		return ErrNoOutput
	}
	return sound(choice, set)
}

// StopLine ends what the line-up sends. It waits for the fade.
func (r *Rig) StopLine() { r.parts.Line.Stop() }

// LineVolume is what the sound system does to the output chosen, with our own
// sound's while it sounds.
func (r *Rig) LineVolume() mixer.Setting {
	if s := r.parts.Line.State(); s.Sounds != Quiet {
		return s.Volume
	}
	r.mu.Lock()
	choice := r.line.output().Choice
	r.mu.Unlock()
	return r.parts.Line.Volume(choice)
}

// Risen refuses where the tone does not stand at its level yet.
func (r *Rig) Risen() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.parts.Line.State().Risen(r.line.tone)
}

// KeepReading keeps what the camera's meter reads, in dBFS, while the tone
// stands at sentDBFS, and gives the offset in dB. SaveCamera writes it.
func (r *Rig) KeepReading(sentDBFS, readsDBFS float64) (offsetDB float64, err error) {
	return readsDBFS - sentDBFS, r.keepFigure(r.parts.Line.State(), func(c *presets.Camera) error { return LineUpByReading(c, sentDBFS, readsDBFS) })
}

// KeepClipMark keeps that the camera's clip mark lights at the tone as it
// stands, and gives that level on the camera's meter, in dBFS.
func (r *Rig) KeepClipMark() (clipDBFS float64, err error) {
	if err := r.Risen(); err != nil {
		return 0, err
	}
	err = r.keepFigure(r.parts.Line.State(), func(c *presets.Camera) error {
		err := LineUpByClipMark(c, r.line.tone.LevelDBFS)
		clipDBFS = c.Scale.ClipDBFS
		return err
	})
	return clipDBFS, err
}

// ReadClip measures the camera's clip of the sequence and keeps what it tells,
// but not one made under automatic level. volumeKnown tells whether the clip
// is of what was sent in this run. It takes as long as the clip is.
func (r *Rig) ReadClip(path string) (result lineup.Result, volumeKnown bool, err error) {
	if result, err = r.parts.Line.Clip(path); err != nil {
		return result, false, err
	}
	sent := r.parts.Line.State()
	if !sent.Sent { // in an earlier run, or over another device
		sent = LineState{}
	}
	return result, sent.Sent, r.keepFigure(sent, func(c *presets.Camera) error { return LineUpByClip(c, result) })
}

// keepFigure changes the camera's profile, with how the figure was found and
// what was sent for it.
func (r *Rig) keepFigure(sent LineState, change func(*presets.Camera) error) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	was := r.camera
	output := cmp.Or(sent.Output, r.line.output().Output())
	c, err := LineUpCamera(was, Sent{output, sent.Volume.Volume, r.settings.Preset, r.parts.Now()}, change)
	if err != nil {
		return err
	}
	r.line.before = &was
	r.setCamera(c)
	return nil
}

// OfferFeed gives the output that was lined up in this run, where the camera is
// not fed over it: the level that was found holds for no other. ok is true once
// for an output. Use feeds the camera over it.
func (r *Rig) OfferFeed() (to Device, ok bool) {
	status, open := r.parts.Sound.Status(CameraInput)
	r.mu.Lock()
	defer r.mu.Unlock()
	with := r.camera.LinedUpWith
	i := slices.IndexFunc(r.line.outputs, func(o Device) bool { return with.Is(o.Output()) })
	if i < 0 || r.line.before == nil || r.line.offered == r.line.outputs[i].Choice || open && with.Is(status.Device) {
		return Device{}, false
	}
	r.line.offered = r.line.outputs[i].Choice
	return r.line.outputs[i], true
}

// UndoLineUp brings the camera's profile back as it was before the last figure.
func (r *Rig) UndoLineUp() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	was := r.line.before
	if was == nil || was.Name != r.camera.Name {
		return Refusal("Nothing to undo")
	}
	r.line.before = nil
	r.setCamera(*was)
	return nil
}

// noLine stands where there is no way to a camera: nothing can be sent.
type noLine struct{}

func (noLine) Outputs() ([]Device, error)         { return nil, nil }
func (noLine) Tone(string, tone.Settings) error   { return ErrNoOutput }
func (noLine) Set(tone.Settings)                  {}
func (noLine) Sequence(string) error              { return ErrNoOutput }
func (noLine) Stop()                              {}
func (noLine) State() LineState                   { return LineState{} }
func (noLine) Volume(string) mixer.Setting        { return mixer.Setting{} }
func (noLine) Clip(string) (lineup.Result, error) { return lineup.Result{}, ErrNoOutput }
