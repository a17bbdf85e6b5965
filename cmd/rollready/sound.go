package main

import (
	"sync"

	"rollready/capture/device"
	"rollready/capture/rig/ab"
	"rollready/capture/rig/output"
	"rollready/capture/rig/session"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/phrase"
	"rollready/tui"
)

// sound is the way out as the screens use it. Any goroutine may call it, but
// for Compare.
type sound struct {
	system  *device.System
	session *session.Session

	mu   sync.Mutex
	ways [2]*output.Way // by tui.OutputPlace, nil: none

	// Of the screens' goroutine.
	comparison *comparison  // the one running, nil: none
	phrase     *phrase.Loop // captured, kept while nothing is compared
}

// use opens an output for a place, "" closes it. The output before stays
// where the new one can't be opened. It may take seconds.
func (s *sound) use(place tui.OutputPlace, choice string) error {
	var way *output.Way
	if choice != "" {
		var err error
		way, err = output.Open(s.session, output.Options{Open: openOutput(s.system, choice), Source: output.Output,
			Camera: place == tui.CameraInput})
		if err != nil {
			return explainOutput(err)
		}
	}
	s.mu.Lock()
	old := s.ways[place]
	s.ways[place] = way
	s.mu.Unlock()
	if old != nil {
		old.Close()
	}
	return nil
}

// close ends everything, after the screens.
func (s *sound) close() {
	if s.comparison != nil {
		s.comparison.Close()
	}
	for _, place := range [...]tui.OutputPlace{tui.Headphones, tui.CameraInput} {
		_ = s.use(place, "")
	}
}

func (s *sound) way(place tui.OutputPlace) *output.Way {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.ways[place]
}

// Status gives the state of a way.
func (s *sound) Status(place tui.OutputPlace) (output.Status, bool) {
	if way := s.way(place); way != nil {
		return way.Status(), true
	}
	return output.Status{}, false
}

// SetMute silences the headphones, or lets them be heard.
func (s *sound) SetMute(on bool) {
	if way := s.way(tui.Headphones); way != nil {
		way.SetMute(on)
	}
}

// SetLevel sets the headphones' level in dB.
func (s *sound) SetLevel(levelDB float64) {
	if way := s.way(tui.Headphones); way != nil {
		way.SetLevel(levelDB)
	}
}

// Hear lets a source be heard in the headphones. The camera gets the output
// whatever is heard.
func (s *sound) Hear(source output.Source) {
	if way := s.way(tui.Headphones); way != nil {
		way.Hear(source)
	}
}

// Compare begins a comparison, with the phrase of the one before.
func (s *sound) Compare(a, b chain.Settings, v dsp.View) tui.Bench {
	var ways []*output.Way
	if way := s.way(tui.Headphones); way != nil {
		ways = append(ways, way)
	}
	c := &comparison{Bench: ab.Start(s.session, a, b, v, ways...), sound: s}
	c.SetPhrase(s.phrase)
	s.comparison = c
	return c
}

// comparison hands its phrase on to the next.
type comparison struct {
	*ab.Bench
	sound *sound
}

// Close ends it.
func (c *comparison) Close() {
	c.sound.phrase, c.sound.comparison = c.Phrase(), nil
	c.Bench.Close()
}
