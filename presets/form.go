package presets

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"rollready/dsp/camera"
	"rollready/dsp/chain"
	"rollready/dsp/lineup"
)

// version of the files that this program writes.
const version = 1

// Bounds on what a person writes into a profile.
const (
	maxText  = 200  // letters of a note, a reminder, …
	maxPath  = 4096 // letters of a file's or device's name
	maxLines = 20   // reminders
)

// presetForm is a preset on disk.
type presetForm struct {
	Version int    `toml:"version"`
	Note    string `toml:"note"`
	chainForm
	stripsForm
}

func encodePreset(p Preset) ([]byte, error) {
	return toml.Marshal(presetForm{version, p.Note, formOfChain(p.Chain()), formOfStrips(p.Strips)})
}

func decodePreset(raw []byte) (Preset, error) {
	f := presetForm{chainForm: formOfChain(chain.Settings{})}
	if err := unmarshal(raw, &f, &f.Version); err != nil {
		return Preset{}, err
	}
	s, err := f.stripsForm.strips(f.chainForm)
	return Preset{Note: f.Note, Strips: s}, errors.Join(err, checkTexts(maxText, f.Note))
}

// cameraForm is a camera profile on disk.
type cameraForm struct {
	Version        int            `toml:"version"`
	OffsetDB       float64        `toml:"offset_db"`
	ClipDBFS       float64        `toml:"clip_dbfs"`
	TargetLowDBFS  float64        `toml:"target_low_dbfs"`
	TargetHighDBFS float64        `toml:"target_high_dbfs"`
	LinedUp        *time.Time     `toml:"lined_up,omitempty"`
	LinedUpWith    string         `toml:"lined_up_with,omitempty"`
	LinedUpKey     string         `toml:"lined_up_with_id,omitempty"`
	LinedUpTwin    bool           `toml:"lined_up_with_twin,omitempty" comment:"another of that name was there"`
	LinedUpDB      *float64       `toml:"lined_up_volume_db,omitempty"`
	LinedUpQuietDB *float64       `toml:"lined_up_quietest_channel_db,omitempty"`
	LinedUpPreset  string         `toml:"lined_up_preset,omitempty"`
	MicLevel       string         `toml:"mic_level"`
	Cable          string         `toml:"cable"`
	Reminders      []string       `toml:"reminders,multiline"`
	SkipCard       bool           `toml:"skip_card"`
	FrameRate      float64        `toml:"frame_rate,omitempty"`
	LineUp         *lineup.Result `toml:"line_up,omitempty"`
}

func formOfCamera(c Camera) cameraForm {
	f := cameraForm{Version: version, OffsetDB: c.Scale.OffsetDB, ClipDBFS: c.Scale.ClipDBFS,
		TargetLowDBFS: c.Scale.TargetLowDBFS, TargetHighDBFS: c.Scale.TargetHighDBFS,
		LinedUpWith: c.LinedUpWith.Name, LinedUpKey: c.LinedUpWith.Key, LinedUpTwin: c.LinedUpWith.Twin, LinedUpPreset: c.LinedUpPreset, MicLevel: c.MicLevel, Cable: c.Cable,
		Reminders: slices.Clone(c.Reminders), SkipCard: c.SkipCard, LineUp: c.LineUp, FrameRate: c.FrameRate}
	f.LinedUpDB, f.LinedUpQuietDB = c.LinedUpVolume.form()
	if !c.LinedUp.IsZero() {
		seconds := c.LinedUp.UTC().Truncate(time.Second)
		f.LinedUp = &seconds
	}
	return f
}

func encodeCamera(c Camera) ([]byte, error) { return toml.Marshal(formOfCamera(c)) }

func decodeCamera(raw []byte) (Camera, error) {
	f := formOfCamera(Camera{Scale: camera.Default})
	if err := unmarshal(raw, &f, &f.Version); err != nil {
		return Camera{}, err
	}
	c := Camera{Scale: camera.Scale{OffsetDB: f.OffsetDB, ClipDBFS: f.ClipDBFS,
		TargetLowDBFS: f.TargetLowDBFS, TargetHighDBFS: f.TargetHighDBFS},
		LinedUpWith: Output{f.LinedUpWith, f.LinedUpKey, f.LinedUpTwin}, LinedUpVolume: volumeOf(f.LinedUpDB, f.LinedUpQuietDB), LinedUpPreset: f.LinedUpPreset,
		MicLevel: f.MicLevel, Cable: f.Cable, Reminders: f.Reminders,
		SkipCard: f.SkipCard, LineUp: f.LineUp, FrameRate: f.FrameRate}
	if f.LinedUp != nil {
		c.LinedUp = f.LinedUp.UTC()
	}
	return c, errors.Join(checkScale(c.Scale), checkFrameRate(c.FrameRate), checkLines(c.Reminders), checkLineUp(c.LineUp), checkVolume(c.LinedUpVolume), c.LinedUpWith.check(),
		checkTexts(maxText, append([]string{c.LinedUpPreset, c.MicLevel, c.Cable}, c.Reminders...)...))
}

// checkScale holds the figures within what a camera's meter can show.
func checkScale(s camera.Scale) error {
	for _, x := range []float64{s.OffsetDB, s.ClipDBFS, s.TargetLowDBFS, s.TargetHighDBFS} {
		if math.IsNaN(x) || math.Abs(x) > 120 {
			return fmt.Errorf("%g dB is no level of a camera: choose -120 to 120 dB", x)
		}
	}
	if !s.Valid() {
		return fmt.Errorf("target window %g to %g dBFS: the first must be the lower", s.TargetLowDBFS, s.TargetHighDBFS)
	}
	return nil
}

// checkFrameRate takes any rate a camera may have, and 0 for not told.
func checkFrameRate(perSecond float64) error {
	if !(perSecond >= 0 && perSecond <= 1000) {
		return fmt.Errorf("frame_rate %g: choose the camera's pictures per second", perSecond)
	}
	return nil
}

func checkLines(lines []string) error {
	if len(lines) > maxLines {
		return fmt.Errorf("%d reminders: keep %d at most", len(lines), maxLines)
	}
	return nil
}

// checkTexts keeps control characters, which could play tricks on a terminal,
// out of the files.
func checkTexts(letters int, texts ...string) error {
	for _, text := range texts {
		if !utf8.ValidString(text) || strings.ContainsFunc(text, unicode.IsControl) {
			return fmt.Errorf("text %q holds characters that can't be shown", text)
		}
		if utf8.RuneCountInString(text) > letters {
			return fmt.Errorf("a text has more than %d letters: shorten it", letters)
		}
	}
	return nil
}

// unmarshal reads TOML after a look at its version: of a newer file nothing
// else can be trusted.
func unmarshal(raw []byte, form any, got *int) error {
	var head struct {
		Version *int `toml:"version"`
	}
	if err := decode(raw, &head); err != nil {
		return err
	}
	if head.Version == nil || *head.Version < 1 {
		return errors.New("it has no version")
	}
	if *head.Version > version {
		return &NewerError{Version: *head.Version}
	}
	*got = *head.Version
	return decode(raw, form)
}

// decode keeps the library's report, which may have several lines, to one.
func decode(raw []byte, form any) (err error) {
	raw = bytes.TrimPrefix(raw, []byte("\ufeff")) // as some editors on Windows begin a file
	err = toml.NewDecoder(bytes.NewReader(raw)).Decode(form)
	var at *toml.DecodeError
	if errors.As(err, &at) {
		row, _ := at.Position()
		return fmt.Errorf("line %d: %s", row, strings.TrimPrefix(at.Error(), "toml: "))
	}
	return err
}
