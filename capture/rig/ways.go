package rig

import (
	"errors"
	"fmt"
	"slices"
	"sync"

	"rollready/capture/device"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/earcon"
	"rollready/dsp/phrase"
	"rollready/dsp/strips"
	"rollready/presets"
)

// ways are the ways out over real devices.
type ways struct {
	system  *device.System
	session *session.Session

	mu     sync.Mutex // guards all below
	open   [2]*output.Way
	paused presets.Output // that the line-up sounds over

	comparison *comparison  // the one running, nil: none
	phrase     *phrase.Loop // captured, kept while nothing is compared
}

// Use opens an output for a place, "" closes it. The one before stays where
// the new one can't be opened.
func (s *ways) Use(place Place, choice string) error {
	var way *output.Way
	if choice != "" {
		var err error
		way, err = output.Open(s.session, output.Options{Open: openOutput(s.system, choice), Source: output.Output,
			Camera: place == CameraInput})
		if errors.Is(err, device.ErrNoOutput) {
			err = fmt.Errorf("%w: connect headphones, and see rollready devices", err)
		}
		if err != nil {
			return err
		}
	}
	s.mu.Lock()
	old := s.open[place]
	s.open[place] = way
	if way != nil && s.paused.Is(way.Status().Device) {
		way.Pause(true)
	}
	s.mu.Unlock()
	if old != nil {
		old.Close()
	}
	return nil
}

// useKept opens the output of last time, and no other: the way to the camera
// sounds at once.
func (s *ways) useKept(place Place, kept presets.Output) error {
	there, err := s.system.Outputs()
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(there, func(o device.Info) bool { return kept.Is(o.Output()) }); i >= 0 {
		return s.Use(place, there[i].Key())
	}
	if slices.ContainsFunc(there, func(o device.Info) bool { return o.Name == kept.Name }) {
		return fmt.Errorf("several outputs are called %q", kept.Name)
	}
	return fmt.Errorf("output %q is not there", kept.Name)
}

// openOutput opens the device chosen, and from then on only that one.
func openOutput(system *device.System, choice string) output.Opener {
	var known device.Info
	return func() (output.Device, presets.Output, error) {
		ask := choice
		if known.Name != "" {
			ask = known.Key()
		}
		o, err := system.OpenOutput(ask, 0, 0)
		if err != nil {
			return nil, presets.Output{}, err
		}
		if known.Name != "" && o.Info().Name != known.Name {
			o.Close()
			return nil, presets.Output{}, fmt.Errorf("output %q is not there: connect it", known.Name)
		}
		known = o.Info()
		return o, known.Output(), nil
	}
}

func (s *ways) close() error {
	s.mu.Lock()
	comparing := s.comparison
	s.mu.Unlock()
	if comparing != nil {
		comparing.Close()
	}
	return errors.Join(s.Use(Headphones, ""), s.Use(CameraInput, ""))
}

func (s *ways) way(place Place) *output.Way {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open[place]
}

// Status gives the state of a way.
func (s *ways) Status(place Place) (output.Status, bool) {
	if way := s.way(place); way != nil {
		return way.Status(), true
	}
	return output.Status{}, false
}

// SetMute silences the headphones, or lets them be heard.
func (s *ways) SetMute(on bool) {
	if way := s.way(Headphones); way != nil {
		way.SetMute(on)
	}
}

// SetLevel sets the headphones' level in dB.
func (s *ways) SetLevel(levelDB float64) {
	if way := s.way(Headphones); way != nil {
		way.SetLevel(levelDB)
	}
}

// Hear lets a source be heard in the headphones.
func (s *ways) Hear(source output.Source) {
	if way := s.way(Headphones); way != nil {
		way.Hear(source)
	}
}

// Earcon plays a short sound in the headphones.
func (s *ways) Earcon(k earcon.Kind) {
	if way := s.way(Headphones); way != nil {
		way.Earcon(k)
	}
}

// pause silences the ways over a device while the line-up sends to it: the
// session would add to what the camera's meter reads.
func (s *ways) pause(device presets.Output, on bool) {
	s.mu.Lock()
	s.paused = presets.Output{}
	if on {
		s.paused = device
	}
	s.mu.Unlock()
	for _, place := range [...]Place{Headphones, CameraInput} {
		if way := s.way(place); way != nil && device.Is(way.Status().Device) {
			way.Pause(on)
		}
	}
}

// Compare begins a comparison, with the phrase of the one before.
func (s *ways) Compare(a, b strips.Settings, v dsp.View) Bench {
	var heard []*output.Way
	if way := s.way(Headphones); way != nil {
		heard = append(heard, way)
	}
	c := &comparison{Bench: ab.Start(s.session, a, b, v, heard...), ways: s}
	s.mu.Lock()
	defer s.mu.Unlock()
	c.SetPhrase(s.phrase)
	s.comparison = c
	return c
}

// comparison hands its phrase on to the next.
type comparison struct {
	*ab.Bench
	ways *ways
}

// Close ends it.
func (c *comparison) Close() {
	c.ways.mu.Lock()
	c.ways.phrase, c.ways.comparison = c.Phrase(), nil
	c.ways.mu.Unlock()
	c.Bench.Close()
}
